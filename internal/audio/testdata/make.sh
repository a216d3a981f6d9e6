#!/bin/sh
# Makes the recordings of this folder with two tools that are independent of this package: SoX 14.4.2 and
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
