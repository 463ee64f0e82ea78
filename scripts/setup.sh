#!/bin/sh
# Installs what building, testing and the demo need on Debian 12 and says what it
# does. Nothing is installed twice; without root it uses sudo.
set -eu

as_root() {
	if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

have() { dpkg -s "$1" >/dev/null 2>&1; }

# OpenCV 4.6 with its headers, FFmpeg for degraded test clips, Chromium and fonts
# for looking at reports, SciPy and OpenCV's Python as outside references.
packages="g++ pkg-config libopencv-dev ffmpeg chromium fonts-dejavu-core python3-scipy python3-opencv git ca-certificates"
missing=""
for p in $packages; do have "$p" || missing="$missing $p"; done
if [ -n "$missing" ]; then
	echo "setup: installing$missing"
	as_root apt-get update -qq
	# shellcheck disable=SC2086
	as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null
fi

# Go: any release from 1.21 fetches the one that go.mod names by itself. Debian 12
# has 1.19, so an older or missing Go is taken from its backports.
new_enough() {
	command -v go >/dev/null 2>&1 || return 1
	minor=$(go env GOVERSION | sed -n 's/^go1\.\([0-9]*\).*/\1/p')
	[ "${minor:-0}" -ge 21 ]
}
PATH=$PATH:/usr/local/go/bin
if ! new_enough; then
	echo "setup: installing Go from the backports of Debian"
	mirror=$(sed -n 's/^URIs: *\([^ ]*\).*/\1/p;s/^deb *\(\[[^]]*\] *\)\{0,1\}\([^ ]*\) bookworm .*/\2/p' /etc/apt/sources.list /etc/apt/sources.list.d/* 2>/dev/null | head -n 1)
	echo "deb $mirror bookworm-backports main" | as_root tee /etc/apt/sources.list.d/steadfall-backports.list >/dev/null
	as_root apt-get update -qq
	as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends -t bookworm-backports golang-go >/dev/null
	new_enough || { echo "setup: no Go of 1.21 or later could be installed; install one and run this again" >&2; exit 1; }
fi
