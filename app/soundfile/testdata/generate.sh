#!/bin/sh
# The files of this folder, each with the exact command it came from. They were
# made once, with the versions of Debian 12 (sox 14.4.2, ffmpeg 5.1.9, flac 1.4.2,
# Python 3.11, scipy 1.10.1), and are kept so that the tests see the same bytes
# everywhere. Run in an empty folder: sh generate.sh
#
# All files hold the same 200 frames at 48 kHz: sample n of channel c (from 0) is
# the upper b bits of (n+1)·(c+1)·2654435761 mod 2^32, less 2^(b−1). Float files
# hold the 24 bit code over 2^23. The files of the kinds that are refused hold
# whatever their codec made of it.
set -eu

raw() { # raw BITS CHANNELS: little endian codes on standard output, 8 bit unsigned
	python3 -c '
import sys
bits, channels = int(sys.argv[1]), int(sys.argv[2])
out = bytearray()
for n in range(200):
    for c in range(channels):
        code = ((n + 1) * (c + 1) * 2654435761 % 2**32) >> (32 - bits)
        out += (code if bits == 8 else (code - 2**(bits - 1)) % 2**bits).to_bytes(bits // 8, "little")
sys.stdout.buffer.write(out)' "$1" "$2"
}

raw 8 1 > u8.raw; raw 16 1 > s16.raw; raw 16 2 > s16x2.raw; raw 24 1 > s24.raw
raw 24 2 > s24x2.raw; raw 24 6 > s24x6.raw; raw 32 2 > s32x2.raw

S8="-t raw -r 48000 -c 1 -b 8 -e unsigned u8.raw"
S16="-t raw -r 48000 -c 1 -b 16 -e signed s16.raw"
S16x2="-t raw -r 48000 -c 2 -b 16 -e signed s16x2.raw"
S24="-t raw -r 48000 -c 1 -b 24 -e signed s24.raw"
S24x2="-t raw -r 48000 -c 2 -b 24 -e signed s24x2.raw"
S24x6="-t raw -r 48000 -c 6 -b 24 -e signed s24x6.raw"
S32x2="-t raw -r 48000 -c 2 -b 32 -e signed s32x2.raw"

# sox
sox -D $S8 sox-u8.wav
sox -D $S16x2 sox-s16x2.wav
sox -D $S24x6 sox-s24x6-extensible.wav
sox -D $S32x2 sox-s32x2-extensible.wav
sox -D $S24 -e float -b 32 sox-f32.wav
sox -D $S24x2 -e float -b 64 sox-f64x2.wav
sox -D $S16x2 -B sox-s16x2-rifx.wav
sox -D $S24x6 -B sox-s24x6-rifx-extensible.wav
sox -D $S8 sox-s8.aiff
sox -D $S16x2 sox-s16x2.aiff
sox -D $S24x6 sox-s24x6.aiff
sox -D $S32x2 sox-s32x2.aiff
sox -D $S16x2 -t aiff - | cat > sox-s16x2-piped.aiff
sox -D $S16x2 -t aifc sox-s16x2.aifc
sox -D $S16x2 sox-s16x2.flac
sox -D $S24 sox-s24.flac
cat s16x2.raw | sox -D -t raw -r 48000 -c 2 -b 16 -e signed - -t wav - | cat > sox-s16x2-piped.wav
sox -D $S16 -e ms-adpcm sox-ms-adpcm.refused.wav
sox -D $S16 -e mu-law sox-mu-law.refused.wav
sox -D $S16 -e ima-adpcm sox-ima-adpcm.refused.wav
sox -D $S16 sox-s16.refused.au
sox -D $S16 sox-s16.refused.caf
sox -D $S16 sox-s16.refused.w64
sox -D $S16 sox-vorbis.refused.ogg

# ffmpeg
F16x2="-v error -f s16le -ar 48000 -ac 2 -i s16x2.raw"
F24="-v error -f s24le -ar 48000 -ac 1 -i s24.raw"
F24x2="-v error -f s24le -ar 48000 -ac 2 -i s24x2.raw"
F32x2="-v error -f s32le -ar 48000 -ac 2 -i s32x2.raw"
ffmpeg -v error -f u8 -ar 48000 -ac 1 -i u8.raw -c:a pcm_u8 ffmpeg-u8.wav
ffmpeg $F16x2 -c:a pcm_s16le ffmpeg-s16x2.wav
ffmpeg $F24x2 -c:a pcm_s24le ffmpeg-s24x2.wav
ffmpeg $F32x2 -c:a pcm_s32le ffmpeg-s32x2.wav
ffmpeg $F24x2 -c:a pcm_f32le ffmpeg-f32x2.wav
ffmpeg $F24 -c:a pcm_f64le ffmpeg-f64.wav
ffmpeg $F24x2 -c:a pcm_s24le -rf64 always ffmpeg-s24x2-rf64.wav
ffmpeg $F24x2 -c:a pcm_s24le -rf64 always -f wav - | cat > ffmpeg-s24x2-rf64-piped.wav
ffmpeg $F16x2 -c:a pcm_s16le -f wav - | cat > ffmpeg-s16x2-piped.wav
ffmpeg $F16x2 -c:a pcm_s16le -write_bext 1 -metadata description=bench ffmpeg-s16x2-bext.wav
ffmpeg $F24x2 -c:a pcm_s24be ffmpeg-s24x2.aiff
ffmpeg $F16x2 -c:a pcm_s16le ffmpeg-s16x2-sowt.aifc
ffmpeg $F24x2 -c:a pcm_f32be -f aiff ffmpeg-f32x2.aifc
ffmpeg $F24 -c:a pcm_f64be -f aiff ffmpeg-f64.aifc
ffmpeg $F16x2 -c:a pcm_s16be -f aiff - | cat > ffmpeg-s16x2-piped.aiff
ffmpeg $F16x2 -c:a flac -sample_fmt s16 ffmpeg-s16x2.flac
ffmpeg $F24x2 -c:a flac -sample_fmt s32 ffmpeg-s24x2.flac
ffmpeg $F16x2 -c:a flac -sample_fmt s16 -f flac - | cat > ffmpeg-s16x2-piped.flac
ffmpeg $F16x2 -c:a libmp3lame -write_xing 0 -id3v2_version 0 ffmpeg-mp3.refused.mp3
ffmpeg $F16x2 -c:a libmp3lame ffmpeg-mp3-tagged.refused.mp3
ffmpeg $F16x2 -c:a alac ffmpeg-alac.refused.m4a

# flac
FLAC="flac -s --endian=little --sign=signed --sample-rate=48000"
$FLAC --bps=16 --channels=2 --force-raw-format s16x2.raw -o flac-s16x2.flac
$FLAC --bps=24 --channels=6 --force-raw-format s24x6.raw -o flac-s24x6.flac
$FLAC --bps=24 --channels=1 --force-raw-format -0 --no-padding s24.raw -o flac-s24-fast.flac
cat s16x2.raw | $FLAC --bps=16 --channels=2 --force-raw-format -c - | cat > flac-s16x2-piped.flac
flac -s --endian=little --sign=unsigned --sample-rate=48000 --bps=8 --channels=1 --force-raw-format u8.raw -o flac-s8.flac

# Python's wave module and scipy.io.wavfile
/usr/bin/python3 - <<'PY'
import wave
for name, bits, channels in (("u8", 8, 1), ("s16x2", 16, 2), ("s24x6", 24, 6), ("s32x2", 32, 2)):
    with wave.open("python-%s.wav" % name, "wb") as w:
        w.setnchannels(channels); w.setsampwidth(bits // 8); w.setframerate(48000)
        w.writeframes(open(name + ".raw", "rb").read())
PY
/usr/bin/python3 - <<'PY'
import numpy as np
from scipy.io import wavfile
x = np.array([[((n + 1) * (c + 1) * 2654435761 % 2**32) for c in range(2)] for n in range(200)], dtype=np.int64)
code = lambda bits: (x >> (32 - bits)) - 2 ** (bits - 1)
wavfile.write("scipy-s16x2.wav", 48000, code(16).astype(np.int16))
wavfile.write("scipy-s32x2.wav", 48000, code(32).astype(np.int32))
wavfile.write("scipy-f32x2.wav", 48000, (code(24) / 2**23).astype(np.float32))
wavfile.write("scipy-f64x2.wav", 48000, code(24) / 2**23)
PY

rm -- *.raw
