# Sourced by the other scripts: makes .venv in the project, or brings it up to date
# with the lock files, and puts it first on PATH. Needs Python 3.11 to 3.13 only.
#   make_venv run    what the service needs
#   make_venv test   that, and what its tests need

find_python() {
  for name in ${BOMSVC_PYTHON:-} python3 python3.13 python3.12 python3.11 python; do
    if command -v "$name" >/dev/null 2>&1 && "$name" -c \
      'import sys; sys.exit(not ((3, 11) <= sys.version_info[:2] <= (3, 13)))' 2>/dev/null
    then echo "$name"; return 0; fi
  done
  echo "bomsvc needs Python 3.11, 3.12 or 3.13 and found none on PATH." >&2
  echo "Install one, or name it: BOMSVC_PYTHON=/path/to/python3.12 $0" >&2
  return 2
}

create_venv() {
  rm -rf .venv
  "$1" -m venv .venv || {
    echo "Making .venv failed. On Debian or Ubuntu: apt install python3-venv" >&2
    return 2
  }
}

# A lock file names everything, so nothing is left to resolve: with --no-deps no pip,
# old or new, looks at what was released since.
install_locked() {
  python -m pip install --quiet --disable-pip-version-check --no-deps \
    --require-hashes "$@"
}

make_venv() {
  kind=$1
  PIP_ROOT_USER_ACTION=ignore; export PIP_ROOT_USER_ACTION
  if ! .venv/bin/python -c 'import sys; sys.exit(not ((3, 11) <= sys.version_info[:2] <= (3, 13)))' 2>/dev/null
  then
    interpreter=$(find_python) || return 2
    create_venv "$interpreter" || return 2
  fi
  PATH="$PWD/.venv/bin:$PATH"; export PATH
  wanted=$(cat pyproject.toml requirements*.lock tests/reference/data.lock 2>/dev/null | cksum)
  if [ "$(cat ".venv/.$kind" 2>/dev/null)" = "$wanted" ]; then return 0; fi
  echo "Setting up .venv (once; a minute or so)..." >&2
  if [ "$kind" = test ]; then
    install_locked -r requirements-dev.lock || return 2
    # Read as data files only, so without what it would need to run.
    install_locked -r tests/reference/data.lock || return 2
  else
    install_locked -r requirements.lock || return 2
  fi
  python -m pip install --quiet --disable-pip-version-check \
    --no-deps --no-build-isolation --editable . || return 2
  echo "$wanted" > ".venv/.$kind"
}
