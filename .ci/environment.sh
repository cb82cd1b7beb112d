# Shared by ./run and ./test: find Python, make .venv, install once, build the app. Sourced, never run by itself.
# Expects ROOT (the project's folder) to be set. Uses only bash, coreutils and, when root, apt-get.

VENV="$ROOT/.venv"
UNFINISHED="$VENV/.unfinished" # there while an install runs, so that an interrupted one is thrown away

say() { printf 'Ringwise: %s\n' "$*"; }

is_python() { # is_python COMMAND: runs, and is 3.11 or newer
  command -v "$1" >/dev/null 2>&1 && "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null
}

find_python() { # prints the first suitable interpreter
  local name
  for name in python3 python3.13 python3.12 python3.11; do
    if is_python "$name"; then
      printf '%s\n' "$name"
      return 0
    fi
  done
  return 1
}

python_package() { # the Debian package that lets the interpreter make a virtual environment
  case "$1" in
    python3.*) printf '%s-venv\n' "$1" ;;
    *) printf 'python3-venv\n' ;;
  esac
}

missing_packages() { # missing_packages [COMMAND=PACKAGE ...]: names of Debian packages still needed, in one line
  local names=() python pair
  if [ ! -x "$VENV/bin/python" ]; then
    if ! python="$(find_python)"; then
      names+=(python3 python3-venv)
    elif ! "$python" -c 'import ensurepip, venv' >/dev/null 2>&1; then
      names+=("$(python_package "$python")")
    fi
  fi
  for pair in "$@"; do
    command -v "${pair%%=*}" >/dev/null 2>&1 || names+=("${pair#*=}")
  done
  printf '%s' "${names[*]-}"
}

apt_install() { # apt_install LOG PACKAGE...
  local log="$1"
  shift
  export DEBIAN_FRONTEND=noninteractive
  apt-get update >"$log" 2>&1 && apt-get install -y --no-install-recommends "$@" >>"$log" 2>&1
}

need_packages() { # need_packages [COMMAND=PACKAGE ...]: install what is missing, or say so in one line and leave
  local names log
  names="$(missing_packages "$@")"
  [ -n "$names" ] || return 0
  if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    say "installing system packages: $names"
    log="$(mktemp)"
    # shellcheck disable=SC2086 # the names are meant to split
    apt_install "$log" $names || tail -n 5 "$log" >&2
    rm -f "$log"
    names="$(missing_packages "$@")"
    [ -n "$names" ] || return 0
  fi
  printf 'Ringwise needs system packages that are missing: %s (as root: apt-get install %s)\n' \
    "$names" "$names" >&2
  exit 2
}

venv_is_sound() { # runs, is new enough, was made in this very folder and has no half-done install
  [ ! -e "$UNFINISHED" ] || return 1
  is_python "$VENV/bin/python" || return 1
  grep -qF -- "$VENV" "$VENV/bin/activate" 2>/dev/null || return 1
  "$VENV/bin/python" -c 'import pip' 2>/dev/null
}

fingerprint() { # what an install depends on: the two files, the interpreter, the folder
  local version
  version="$("$VENV/bin/python" -c 'import platform; print(platform.python_version(), platform.machine())')"
  { cat "$ROOT/pyproject.toml" "$ROOT/constraints.txt"; printf '%s\n%s\n' "$version" "$ROOT"; } | sha256sum
}

is_installed() { # is_installed STAMP: this install is the one that the stamp tells of
  [ -x "$VENV/bin/ringwise" ] && [ -f "$1" ] && [ "$(cat "$1")" = "$(fingerprint)" ]
}

install_into_venv() { # install_into_venv STAMP EXTRAS
  local log
  log="$(mktemp)"
  : >"$UNFINISHED"
  say "installing the parts it stands on (once; a minute or two)"
  if ! (cd "$ROOT" && RINGWISE_APP=later "$VENV/bin/python" -m pip install --no-input --disable-pip-version-check \
    --constraint constraints.txt --editable ".[$2]") >"$log" 2>&1; then
    tail -n 20 "$log" >&2
    rm -f "$log"
    printf 'Ringwise could not be installed; the lines above say why. Start again when it is mended.\n' >&2
    exit 1
  fi
  rm -f "$log"
  fingerprint >"$1"
  rm -f "$UNFINISHED"
}

prepare() { # prepare run|test: a .venv with the right parts; does nothing when it is there already
  local stamp="$VENV/.installed-$1" extras="photo" python
  [ "$1" = run ] || extras="photo,test"
  unset PYTHONPATH PYTHONHOME
  export PYTHONNOUSERSITE=1
  exec 9<"$ROOT"
  flock 9 # two starts at once: the second waits for the first
  if [ -e "$VENV" ] && ! venv_is_sound; then
    rm -rf -- "$VENV"
    need_packages
  fi
  if [ ! -e "$VENV" ]; then
    python="$(find_python)"
    say "making .venv with $("$python" --version)"
    "$python" -m venv "$VENV"
  fi
  # What the tests need holds all that the program needs.
  if ! is_installed "$stamp" && ! is_installed "$VENV/.installed-test"; then
    install_into_venv "$stamp" "$extras"
  fi
  exec 9<&-
}

build_app() { # build_app [--tools]: the app, where frontend/ changed since it was built; 1 when it does not build
  "$VENV/bin/python" "$ROOT/build_app.py" "$@"
}

find_node() { # puts the Node in .venv-node on the PATH where the system has none that is new enough
  local folder
  folder="$("$VENV/bin/python" "$ROOT/build_app.py" --where)" || exit 1
  [ -z "$folder" ] || export PATH="$folder:$PATH"
}

demo_fingerprint() { # what the demo yard was made from: the package without what is built into it
  (cd "$ROOT/src" && find . \( -name __pycache__ -o -path ./ringwise/faces/web/static \) -prune -o -type f -print0 |
    LC_ALL=C sort -z | xargs -0 sha256sum | sha256sum)
}

make_demo() { # make_demo [ARGUMENT...]: the demo yard, anew only when it or the package changed or arguments are given
  local stamp="$VENV/.demo-made-from" made_from
  made_from="$(demo_fingerprint)"
  if [ $# = 0 ] && [ -n "$(ls -A "$ROOT/demo-yard" 2>/dev/null)" ] && [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$made_from" ]; then
    return 0
  fi
  rm -f "$stamp"
  "$VENV/bin/ringwise" demo --collection "$ROOT/demo-yard" --no-open "$@" || return
  printf '%s\n' "$made_from" >"$stamp"
}
