# Writes OUTPUT, the C++ source of src/tank/built_in.hpp, from the files in
# PROFILES and EXAMPLES and from SCHEMA and PROFILE_SCHEMA.
set(entries "")
foreach(file IN LISTS PROFILES)
  get_filename_component(name ${file} NAME_WE)
  file(READ ${file} text)
  string(APPEND entries "    {\"${name}\", R\"built_in(${text})built_in\"},\n")
endforeach()
set(example_entries "")
foreach(file IN LISTS EXAMPLES)
  get_filename_component(folder ${file} DIRECTORY)
  get_filename_component(folder ${folder} NAME)
  get_filename_component(name ${file} NAME)
  file(READ ${file} text)
  string(APPEND example_entries
         "    {\"${folder}/${name}\", R\"built_in(${text})built_in\"},\n")
endforeach()
file(READ ${SCHEMA} schema)
file(READ ${PROFILE_SCHEMA} profile_schema)
file(WRITE ${OUTPUT} "#include \"tank/built_in.hpp\"

namespace slowdawn {
namespace {

constexpr BuiltInFile profiles[] = {
${entries}};

constexpr BuiltInFile examples[] = {
${example_entries}};

constexpr std::string_view schema = R\"built_in(${schema})built_in\";

constexpr std::string_view profile_schema_text = R\"built_in(${profile_schema})built_in\";

}  // namespace

std::span<const BuiltInFile> built_in_profiles() { return profiles; }

std::span<const BuiltInFile> built_in_examples() { return examples; }

std::string_view built_in_schema() { return schema; }

std::string_view built_in_profile_schema() { return profile_schema_text; }

}  // namespace slowdawn
")
