#!/bin/sh
# Makes the recordings of this folder that lose something, and FLAC in Ogg, with encoders that are independent of this
# package: lame 3.100, opusenc 0.2 (libopus 1.3), oggenc 1.4 (libvorbis 1.3.7), ffmpeg 5.1, flac 1.4. Each holds a second
# of two chirps (mono: the left one),
#   left: 0.4 sin(2 pi (500 t + 500 t^2))    right: 0.4 sin(2 pi (2000 t - 400 t^2))
set -e
cd "$(dirname "$0")"
tmp=$(mktemp -d)
trap 'rm -r "$tmp"' EXIT
/usr/bin/python3 - "$tmp" <<'PY'
import struct, sys, wave
from math import pi, sin
for rate in 12000, 22050, 24000, 44100, 48000:
    for channels in 1, 2:
        with wave.open(f'{sys.argv[1]}/{rate}-{channels}.wav', 'wb') as w:
            w.setparams((channels, 2, rate, 0, 'NONE', ''))
            for i in range(rate):
                t = i / rate
                both = sin(2 * pi * (500 * t + 500 * t * t)), sin(2 * pi * (2000 * t - 400 * t * t))
                w.writeframes(b''.join(struct.pack('<h', round(32767 * 0.4 * v)) for v in both[:channels]))
PY
wav() { echo "$tmp/$1.wav"; }
ff() { ffmpeg -loglevel error -y -bitexact -i "$(wav $1)" -c:a "$2" -b:a "$3" $page -f "$4" "$5"; }
lame --quiet -b 32 -m m "$(wav 22050-1)" lame-32k.mp3
lame --quiet -b 64 -m j --resample 24 "$(wav 24000-2)" lame-64k-stereo.mp3
lame --quiet -V 6 -m j "$(wav 44100-2)" lame-vbr.mp3
ff 12000-1 libmp3lame 32k mp3 ffmpeg-12kHz-32k.mp3 # version 2.5
lame --quiet -b 48 -m j --resample 12 "$(wav 12000-2)" lame-12kHz-48k-stereo.mp3
ff 48000-1 libmp3lame 64k mp3 ffmpeg-64k.mp3
ff 24000-2 libmp3lame 64k mp3 - </dev/null | cat > ffmpeg-pipe.mp3
opusenc --quiet --bitrate 12 "$(wav 24000-1)" opusenc-12k.opus
opusenc --quiet --bitrate 24 "$(wav 48000-2)" opusenc-24k-stereo.opus
page='-page_duration 100000' # in microseconds, for tests of damage
ff 48000-1 libopus 24k opus ffmpeg-24k.opus
page=
ff 48000-2 libopus 64k opus ffmpeg-64k-stereo.opus
oggenc --quiet -b 32 -o oggenc-32k.ogg "$(wav 24000-1)"
oggenc --quiet -q 2 -o oggenc-stereo.ogg "$(wav 44100-2)"
page='-page_duration 100000'
ff 48000-2 libvorbis 80k ogg - </dev/null | cat > ffmpeg-pipe.ogg
flac --silent --force --ogg --serial-number=1 -o flac.oga "$(wav 22050-1)"
sox "$(wav 12000-1)" "$tmp/short.wav" trim 0 0.05
oggenc --quiet -q 0 --date 2026-11-26T21:15:00Z -o tagged.ogg "$tmp/short.wav"
opusenc --quiet --bitrate 12 --date 2026-11-26T21:15:00Z "$tmp/short.wav" tagged.opus
flac --silent --force --no-padding --tag=DATE=2026-11-26T21:15:00Z -o tagged.flac "$tmp/short.wav"
