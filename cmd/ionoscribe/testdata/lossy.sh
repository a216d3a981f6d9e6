#!/bin/sh
# Makes lossy recordings of radioteletype at 6 dB in 2500 Hz with encoders that are independent of this project:
# ffmpeg 5.1 (libmp3lame 3.100, libvorbis 1.3.7) and opusenc 0.2 (libopus 1.3).
set -e
cd "$(dirname "$0")"
tmp=$(mktemp -d)
trap 'rm -r "$tmp"' EXIT
(cd .. && go run . synth rtty --snr 6 --seed 5 -o "$tmp/x.wav" "OSTREL SEA GALE 8")
ff() { ffmpeg -loglevel error -y -bitexact -i "$tmp/x.wav" "$@"; }
ff -ar 22050 -b:a 32k rtty-32k.mp3
ff -b:a 32k rtty-12kHz-32k.mp3
ff -ar 24000 -c:a libvorbis -b:a 32k rtty-32k.ogg
opusenc --quiet --bitrate 32 "$tmp/x.wav" rtty-32k.opus
opusenc --quiet --bitrate 16 "$tmp/x.wav" rtty-16k.opus
