"""Makes text_chunk.png: a 2 x 1 grey picture with two tEXt chunks, built from the PNG specification with
Python's zlib alone. Run: python3 text_chunk.py"""
import struct, zlib

def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

with open("text_chunk.png", "wb") as f:
    f.write(b"\x89PNG\r\n\x1a\n")
    f.write(chunk(b"IHDR", struct.pack(">IIBBBBB", 2, 1, 8, 0, 0, 0, 0)))
    f.write(chunk(b"tEXt", b"Creation Time\x002026-03-04T12:15:00.250Z"))
    f.write(chunk(b"tEXt", b"Index of Cooperation\x00288"))
    f.write(chunk(b"IDAT", zlib.compress(b"\x00\x00\xff")))
    f.write(chunk(b"IEND", b""))
