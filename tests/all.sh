#!/usr/bin/env bash
# Installs what the tests need, builds everything once, runs every test project, fast ones first,
# and ends with one line: "N passed, N failed". Works on a bare Debian machine with the .NET 10 SDK.
#
#   bash tests/all.sh            everything
#   bash tests/all.sh fast       without the browser and the long rehearsals
set -uo pipefail
cd "$(dirname "$0")/.."

mode=${1:-all}
# The results, with what the tests wrote, are kept when TEST_RESULTS names a folder.
if [ -n "${TEST_RESULTS:-}" ]; then
  results=$TEST_RESULTS
  mkdir -p "$results"
  rm -f "$results"/*.trx
else
  results=$(mktemp -d)
  trap 'rm -rf "$results"' EXIT
fi

# Hundreds of processes are started that live for seconds: half their time went into compiling again, and better, what runs a few dozen times.
# They compile once, and anew only what runs a thousand times (0x400); one heap serves them, not one for each core.
export DOTNET_TieredPGO=0 DOTNET_TC_CallCountThreshold=400 DOTNET_gcServer=0

note() { printf '\n== %s\n' "$*"; }

install_packages() {
  local sudo=""
  [ "$(id -u)" = 0 ] || sudo=sudo
  $sudo apt-get update -qq && $sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >/dev/null
}

install_chromium() {
  if command -v chromium >/dev/null || command -v chromium-browser >/dev/null || command -v google-chrome >/dev/null; then
    return 0
  fi
  note "Installing Chromium for the browser tests"
  install_packages chromium fonts-dejavu-core
}

# The tests measure sound a second time with scipy, which shares no code with the project.
install_scipy() {
  if /usr/bin/python3 -c 'import scipy.signal' 2>/dev/null; then
    return 0
  fi
  note "Installing scipy as independent measurement"
  install_packages python3-scipy
}

# A sound server for the tests of the kit's real sound output; each test starts its own.
install_sound() {
  if command -v pulseaudio >/dev/null && command -v pactl >/dev/null && ls /usr/lib/*/alsa-lib/libasound_module_pcm_pulse.so >/dev/null 2>&1; then
    return 0
  fi
  note "Installing a sound server for the tests of the sound output"
  install_packages pulseaudio pulseaudio-utils libasound2 libasound2-plugins
}

# Servers for the tests of several hubs on one database; each test starts its own, so those that the packages start are left alone.
install_servers() {
  if ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 && command -v redis-server >/dev/null && command -v setpriv >/dev/null && [ -x /usr/sbin/nginx ]; then
    return 0
  fi
  note "Installing PostgreSQL, Redis and nginx for the tests of several hubs"
  install_packages postgresql redis-server nginx-light util-linux
}

# Lets the disk fail under a running program: strace answers its syncs with an error.
install_strace() {
  if command -v strace >/dev/null; then
    return 0
  fi
  note "Installing strace, which lets syncs fail"
  install_packages strace
}

# The documents of kits' histories are validated by a library of others; its versions are those of the lock file.
# Installed by one version of npm everywhere: the one Debian 12 brings (9.2) does not put the empty package in the place of "fs".
epcis_install=(npm exec --yes --package npm@10.9.9 -- npm ci --prefix tests/epcis --ignore-scripts --no-audit --no-fund --loglevel=error)
install_epcis() {
  if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
    note "Installing Node.js for the validation of EPCIS documents"
    install_packages nodejs npm || return 1
  fi
  if [ -f tests/epcis/node_modules/.package-lock.json ] && [ ! tests/epcis/package-lock.json -nt tests/epcis/node_modules/.package-lock.json ]; then
    return 0
  fi
  note "Installing the library that validates EPCIS documents"
  "${epcis_install[@]}"
}

# All of them, one after the other; a sentence for what could not be installed.
install_all() {
  if [ "$mode" = all ]; then
    install_chromium || { echo "Chromium could not be installed. Install the package 'chromium' and run this again."; return 1; }
    install_strace || { echo "strace could not be installed. Install the package 'strace' and run this again."; return 1; }
  fi
  install_scipy || { echo "scipy could not be installed. Install the package 'python3-scipy' and run this again."; return 1; }
  install_sound || { echo "A sound server could not be installed. Install the packages 'pulseaudio pulseaudio-utils libasound2 libasound2-plugins' and run this again."; return 1; }
  install_servers || { echo "PostgreSQL, Redis and nginx could not be installed. Install the packages 'postgresql redis-server nginx-light' and run this again."; return 1; }
  install_epcis || { echo "The library that validates EPCIS documents could not be installed. Install Node.js and npm, then run: ${epcis_install[*]}"; return 1; }
}

# The network brings the packages while the processor builds.
install_all &
installing=$!

note "Building"
# One compiler serves all projects, which halves the time of a build, and is ended before the tests want the memory.
dotnet build TeleHearing.sln -v q -nologo -clp:ErrorsOnly -p:UseSharedCompilation=true
built=$?
dotnet build-server shutdown --vbcscompiler >/dev/null 2>&1
if [ "$built" -ne 0 ]; then
  echo "The build failed; no test was run."
  wait "$installing"
  echo "0 passed, 1 failed"
  exit 1
fi
if ! wait "$installing"; then
  echo "No test was run."
  echo "0 passed, 1 failed"
  exit 1
fi

projects="Audiology Logistics Contracts Architecture Charts Clinician.Web Site.Agent Sound Hub Simulation"
[ "$mode" = fast ] || projects="$projects EndToEnd Browser"

# Tests of one project; says itself when they failed.
run_tests() {
  dotnet test "tests/$1.Tests" --no-build --nologo -v q --logger "console;verbosity=minimal" --logger "trx;LogFileName=$1.trx" --results-directory "$results"
  local ended=$?
  # A runner that died without results counts as a failure, never as silence.
  [ -f "$results/$1.trx" ] || printf '<Counters passed="0" failed="1" />' >"$results/$1.trx"
  return "$ended"
}

broken=0
simulating=""
for name in $projects; do
  case $name in
    Sound)
      # Sound takes its time and hardly a processor, and the hub waits for its disk; a thousand simulated worlds, which have a clock of their own, take what is left.
      # They run long enough to be compiled better as usual.
      said=$(mktemp)
      (renice -n 19 "$BASHPID" >/dev/null; unset DOTNET_TC_CallCountThreshold; run_tests Simulation) >"$said" 2>&1 &
      simulating=$!
      ;;
    Simulation)
      note "$name.Tests"
      wait "$simulating" || broken=$((broken + 1))
      cat "$said"
      rm -f "$said"
      continue
      ;;
  esac
  note "$name.Tests"
  run_tests "$name" || broken=$((broken + 1))
done

sum() { grep -ho "<Counters [^>]*" "$results"/*.trx | sed -n "s/.* $1=\"\([0-9]*\)\".*/\1/p" | awk '{ total += $1 } END { print total + 0 }'; }
passed=$(sum passed)
failed=$(sum failed)
[ "$failed" -gt 0 ] || [ "$broken" -eq 0 ] || failed=$broken

note "All test projects are done"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
