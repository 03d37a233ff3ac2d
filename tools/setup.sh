# Shared by tools/quickstart and tools/check (sourced): packages and the build folder. POSIX sh.
# shellcheck shell=sh disable=SC2034,SC2154 # names used by, or set by, the script that sources this

# What the program is built with and runs with, as Debian names it.
packages_build='gcc libc6-dev meson ninja-build pkg-config libgsl-dev libyaml-dev libudunits2-dev gnuplot-nox'
# What the tests need on top.
packages_test='check libsundials-dev libcminpack-dev locales shellcheck parallel g++ doxygen codespell chromium'
packages_test="$packages_test aspell aspell-en pandoc groff ghostscript"  # spelling, the theory's PDF
packages_test="$packages_test strace clang"  # faults of system calls; another compiler

as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    "$@"
  elif command -v sudo >/dev/null 2>&1; then
    sudo "$@"
  else
    echo "Neither root nor sudo: as root, run: $*" >&2
    return 1
  fi
}

# Names among "$@" that dpkg does not have installed.
missing_packages() {
  for package; do
    dpkg-query -W -f '${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed || printf ' %s' "$package"
  done
}

install_packages() {
  if ! command -v apt-get >/dev/null 2>&1; then
    echo "No apt-get here. Needed, by their names in Debian: $*" >&2
    return 0
  fi
  missing=$(missing_packages "$@")
  [ -n "$missing" ] || return 0
  echo "Installing Debian packages:$missing"
  set -f
  # shellcheck disable=SC2086 # a list of words
  DEBIAN_FRONTEND=noninteractive as_root apt-get install -y -q --no-install-recommends $missing >"$install_log" 2>&1 ||
    { echo "Fetching the package lists first"
      as_root apt-get update -q >"$install_log" 2>&1 &&
      DEBIAN_FRONTEND=noninteractive as_root apt-get install -y -q --no-install-recommends $missing >"$install_log" 2>&1; } ||
    { tail -n 20 "$install_log" >&2; echo "Could not install:$missing" >&2; return 1; }
  set +f
}

# configure FOLDER OPTION...: make or update a build folder.
configure() {
  folder=$1
  shift
  if [ -f "$folder/build.ninja" ]; then
    meson configure "$folder" "$@" >"$folder/configure.log" 2>&1 && return 0
    echo "Configuring $folder afresh"
    rm -rf "$folder"
  fi
  mkdir -p "$folder"
  meson setup "$folder" "$@" >"$folder.log" 2>&1 || { cat "$folder.log" >&2; return 1; }
  mv "$folder.log" "$folder/configure.log"
}

# build FOLDER [TARGET...]
build() {
  folder=$1
  shift
  ninja -C "$folder" "$@" >"$folder/ninja.log" 2>&1 || { tail -n 40 "$folder/ninja.log" >&2; return 1; }
}
