# The Debian packages that building and testing need, and how they are
# installed. Sourced by examples/try.sh and tests/run.sh.

build_packages=(g++ cmake ninja-build libboost-dev libcli11-dev libeigen3-dev libexpected-dev
                libfmt-dev libsqlitecpp-dev libtbb-dev nlohmann-json3-dev)
test_packages=(colord-data fish groff-base libbenchmark-dev libglpk-dev libgtest-dev libical-dev
               man-db python3 python3-ephem python3-icalendar python3-jsonschema python3-scipy units
               zsh)
browser_packages=(chromium)
lint_packages=(clang-format clang-tidy)

# install_missing PACKAGE...: quiet where nothing is missing; as root, or with sudo.
install_missing() {
  local missing=() package
  for package in "$@"; do
    dpkg-query -W -f '${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed ||
      missing+=("$package")
  done
  [ ${#missing[@]} -eq 0 ] && return 0
  echo "Installing what is missing: ${missing[*]}"
  local as_root=()
  if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || {
      echo "error: these packages are missing, and there is no sudo to install them with" >&2
      return 1
    }
    as_root=(sudo)
  fi
  "${as_root[@]}" apt-get update -qq &&
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq \
      --no-install-recommends "${missing[@]}" >/dev/null || {
    echo "error: the packages could not be installed; apt-get says why above" >&2
    return 1
  }
}
