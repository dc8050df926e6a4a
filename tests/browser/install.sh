# What the browser tests need besides Debian's packages: Node and a few packages of its own, in
# build/browser. Sourced by tests/run.sh.

browser_folder=build/browser

# Debian 12's own nodejs is 18, which html-validate does not run on.
require_node() {
  local why
  if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
    why="there is no node, or no npm"
  elif ! node -e '
    const [major, minor] = process.versions.node.split(".").map(Number);
    const is_new = major === 20 ? minor >= 19 : major === 22 ? minor >= 12 : major > 22;
    process.exit(is_new ? 0 : 1);
  '; then
    why="node is $(node --version)"
  else
    return 0
  fi
  cat >&2 <<MESSAGE
error: the browser tests need Node 20.19 or newer with npm, and $why
hint: install Node 20 (Debian 12's own nodejs is 18 and too old), then run this again
MESSAGE
  return 1
}

# Quiet where the packages of package-lock.json are there already.
install_browser_packages() {
  require_node || return 1
  local here=tests/browser
  if [ -d "$browser_folder/node_modules" ] &&
    cmp -s "$here/package-lock.json" "$browser_folder/installed"; then
    return 0
  fi
  echo "Installing the packages of the browser tests into $browser_folder"
  mkdir -p "$browser_folder"
  rm -f "$browser_folder/installed"
  cp "$here/package.json" "$here/package-lock.json" "$here/.npmrc" "$browser_folder"
  (cd "$browser_folder" && npm ci --ignore-scripts --no-audit --no-fund --loglevel=error) \
    >/dev/null || {
    echo "error: the packages of the browser tests could not be installed; npm says why above" >&2
    return 1
  }
  # Last, so that an installation that broke off is done again.
  cp "$here/package-lock.json" "$browser_folder/installed"
}
