# Makes the virtual environment that deploy/run and deploy/test use; sourced by them, not run.
#
# The environment is .venv/ inside the project. A stamp in it holds the hash of the lock file that it was filled
# from, so that nothing is installed, and no network is needed, while the lock file stays as it is.
# All talk goes to stderr.

project=$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd -P)
venv=$project/.venv

say() { printf '%s\n' "$*" >&2; }

die() {
    say "$*"
    exit 1
}

# Prints the first Python of at least 3.11 that can make virtual environments.
find_python() {
    local candidate
    for candidate in ${WATTCLERK_PYTHON:-} python3 python3.13 python3.12 python3.11 python3.14 python; do
        if command -v "$candidate" >/dev/null 2>&1 &&
            "$candidate" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$candidate"
            return
        fi
    done
    die "Python 3.11 or newer with its venv module is needed (Debian: apt-get install python3 python3-venv)." \
        "WATTCLERK_PYTHON may name one."
}

# What the environment was made from: the lock file, this folder and the way of making it.
stamp_of() {
    { sha256sum <"$project/deploy/$1" && printf '%s 1\n' "$project"; } | sha256sum | cut -d' ' -f1
}

stamped() {
    [ -f "$venv/.stamp-$1" ] && [ "$(cat "$venv/.stamp-$1")" = "$2" ] && [ -x "$venv/bin/python" ]
}

install_lock() {
    "$venv/bin/python" -m pip install --quiet --quiet --disable-pip-version-check --no-input --no-deps --require-hashes \
        --only-binary :all: --requirement "$project/deploy/$1" "${@:2}" >&2 ||
        die "The packages of deploy/$1 could not be installed; the lines above say why. Run it again once that is put right."
}

# Compiles the modules that take most time ahead of time, where that is possible; without it the program runs interpreted and
# says the same. What it compiles with stays apart from what the program runs with. Status 1: a module can't be compiled.
compile_ahead() {
    "$venv/bin/python" -P "$project/deploy/compile.py" --possible || return 0
    if [ ! -f "$venv/compiler/.stamp" ] || [ "$(cat "$venv/compiler/.stamp")" != "$(stamp_of requirements-build.lock)" ]; then
        rm -rf "$venv/compiler"
        install_lock requirements-build.lock --target "$venv/compiler"
        stamp_of requirements-build.lock >"$venv/compiler/.stamp"
    fi
    PYTHONPATH=$venv/compiler nice "$venv/bin/python" -P "$project/deploy/compile.py" "$@"
}

# prepare run | prepare test: fills the environment for that purpose, once. prepare packages: as for test, but nothing is compiled.
prepare() {
    local run_stamp build_stamp test_stamp compiling=
    run_stamp=$(stamp_of requirements.lock)
    build_stamp=$(stamp_of requirements-build.lock)
    test_stamp=$(stamp_of requirements-test.lock)
    stamped run "$run_stamp" &&
        { [ "$1" = packages ] || stamped compiled "$build_stamp"; } &&
        { [ "$1" = run ] || stamped test "$test_stamp"; } && return
    (
        # Two first starts at once must not fill one environment together.
        if command -v flock >/dev/null 2>&1; then
            exec 9>"$project/.venv.lock"
            flock 9
        fi
        if ! stamped run "$run_stamp"; then
            python=$(find_python) || exit 1
            say "Setting up (once): virtual environment in $venv, packages of deploy/requirements.lock ..."
            "$python" -m venv --clear "$venv" >&2 || die "The virtual environment could not be made with $python."
            install_lock requirements.lock
            # A short answer should not compile the program first, wherever byte code is not written by itself.
            "$venv/bin/python" -m compileall -q "$project/bot" "$project/engine" "$project/catalog_demo" >&2 ||
                say "The program could not be compiled ahead; it starts a little slower."
            printf '%s\n' "$run_stamp" >"$venv/.stamp-run"
        fi
        if [ "$1" != packages ] && ! stamped compiled "$build_stamp" && [ "${WATTCLERK_INTERPRETED:-0}" = 0 ]; then
            say "Setting up (once): compiling what takes most time ..."
            compile_once "$build_stamp" &
            compiling=$!
        fi
        # Meanwhile: the compiler uses packages of its own, and what is added here takes nothing of the program's away.
        if [ "$1" != run ] && ! stamped test "$test_stamp"; then
            say "Setting up (once): packages of deploy/requirements-test.lock ..."
            install_lock requirements-test.lock
            printf '%s\n' "$test_stamp" >"$venv/.stamp-test"
        fi
        [ -z "$compiling" ] || wait "$compiling"
    ) || exit 1
}

# Tried once: what can't be done here now is not tried anew at every start.
compile_once() {
    (compile_ahead --if-stale) ||
        say "Not compiled, the program runs interpreted; the lines above say why, and deploy/compile tries again."
    printf '%s\n' "$1" >"$venv/.stamp-compiled"
}
