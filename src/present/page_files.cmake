# Writes OUTPUT, the C++ source of src/present/page_files.hpp, from the files in
# FOLDER.
set(functions "")
foreach(name IN ITEMS page.css page.js sheet.css looks.html cautions.html sheet_notes.html)
  string(REPLACE "." "_" function ${name})
  file(READ ${FOLDER}/${name} text)
  string(APPEND functions "
std::string_view ${function}() { return R\"page_file(${text})page_file\"; }
")
endforeach()
file(WRITE ${OUTPUT} "#include \"present/page_files.hpp\"

namespace slowdawn {
${functions}
}  // namespace slowdawn
")
