#!/bin/sh
# Makes the recordings of this folder with tools that are independent of this package: SoX 14.4.2, ffmpeg 5.1 and
# scipy.io.wavfile (Debian python3-scipy). Each holds 240 samples at 12 kHz (or as named) of
#   left, mono: 0.5 sin(2 pi 1000 t)    right: 0.5 sin(2 pi 500 t)
set -e
cd "$(dirname "$0")"
tone() { sox -D -R -r "${R:-12000}" -n "$@" synth 240s sine 1000 vol 0.5; }
both() { sox -D -R -r 12000 -n -c 2 "$@" synth 240s sine 1000 sine 500 vol 0.5; }
tone -b 8 -e unsigned sox-u8.wav
tone -b 16 sox-s16.wav
tone -b 24 sox-s24.wav           # WAVE_FORMAT_EXTENSIBLE
tone -b 32 sox-s32.wav           # WAVE_FORMAT_EXTENSIBLE
tone -b 32 -e float sox-f32.wav
tone -b 64 -e float sox-f64.wav
both -b 16 sox-stereo.wav
tone -b 16 -t wav - | cat > sox-pipe.wav # lengths left open
tone -b 16 sox-s16.flac
tone -b 24 sox-s24.flac
R=24000 tone -b 16 sox-24k.flac
both -b 16 sox-stereo.flac
tone -b 16 -t flac - | cat > sox-pipe.flac # length unknown
tone -b 16 -e signed -t raw sox-s16.raw
tone -e a-law sox-alaw.wav
tone -e mu-law sox-mulaw.wav
tone -b 16 sox-s16.w64
tone -b 8 sox-s8.aiff
tone -b 16 sox-s16.aiff
tone -b 24 sox-s24.aiff
tone -b 32 sox-s32.aiff
tone -b 16 -t aiff - | cat > sox-pipe.aiff # length left open
both -b 16 sox-stereo.aiff
both -b 32 -e float sox-stereo.aifc
convert() { ffmpeg -loglevel error -y -bitexact -i sox-s16.wav "$@"; }
convert -c:a pcm_alaw ffmpeg-alaw.wav
convert -c:a pcm_mulaw ffmpeg-mulaw.wav
convert ffmpeg-s16.w64
convert -f w64 - </dev/null | cat > ffmpeg-pipe.w64
convert -f wav - </dev/null | cat > ffmpeg-pipe.wav
convert -c:a pcm_s16le -f aiff ffmpeg-s16le.aifc
convert -c:a pcm_f32be -f aiff ffmpeg-f32.aifc
convert -c:a pcm_f64be -f aiff ffmpeg-f64.aifc
convert -c:a pcm_alaw -f aiff ffmpeg-alaw.aifc
convert -c:a pcm_mulaw -f aiff ffmpeg-mulaw.aifc
convert -f aiff - </dev/null | cat > ffmpeg-pipe.aiff
/usr/bin/python3 - <<'PY'
import numpy as np
from scipy.io import wavfile
t = np.arange(240) / 12000
l, r = 0.5 * np.sin(2 * np.pi * 1000 * t), 0.5 * np.sin(2 * np.pi * 500 * t)
wavfile.write('scipy-u8.wav', 12000, np.round(128 + 128 * l).astype(np.uint8))
wavfile.write('scipy-s16.wav', 12000, np.round(32768 * l).astype(np.int16))
wavfile.write('scipy-s32.wav', 12000, np.round(2**31 * l).astype(np.int32))
wavfile.write('scipy-f32.wav', 12000, l.astype(np.float32))
wavfile.write('scipy-f64.wav', 12000, l)
wavfile.write('scipy-stereo-f32.wav', 12000, np.stack([l, r], axis=1).astype(np.float32))
PY
