// Package audio reads recordings, streams and live sources of samples, writes WAV and sends RTP.
//
//	file · standard input ─ Open ─► what is it? ─┬─ WAV, W64, AIFF header ─┐
//	                                             ├─ SigMF metadata ────────┤
//	                                             ├─ raw, ordered ──────────┴► bytes ─ pcm ──────┐
//	                                             ├─ FLAC ─► frames ─────────┬─ decoder: samples ┴► one channel ─► Source
//	                                             ├─ MP3 ─► frames ──────────┤   or silence for      │                │
//	                                             └─ Ogg ─► pages ─► packets ┘   what is damaged     │       demod.SampleReader
//	rtp:// ─ rtpStream: order, losses ─┐                                                            │
//	tcp:// ─ tcpFeed: connects again ──┼─ liveFeed: bytes or silence ─ liveReader ──────────────────┤
//	device: ─ deviceFeed: ring, gaps ──┘                                                            └► both ─► IQSource: demod.IQReader
//
//	samples ─► WAVWriter ─► file (lengths patched) · pipe (lengths left open)
//	       └─► Sender ─► RTP, at the pace of the samples
//
// A Source is read once from front to back and keeps a fixed amount of memory: what a header claims is
// never allocated. It gives one channel in [-1, 1] full scale; samples that are not finite, or so large
// that they can only be damage, become silence.
//
// # What a source is
//
// The first bytes decide, not the name: RIFF, RF64 or BW64 is WAV, riff W64, FORM AIFF, fLaC FLAC, OggS an Ogg, whose
// first packet tells what is in it, and ID3 or a frame's header MP3. SigMF is two files, which the name tells. All else
// is raw samples if Options order their rate and encoding, or the name ends in one such as .cu8; formats that are known
// but not read are named in the error. A header wins over an ordered encoding, and contradicting it with an ordered
// rate is an error, so the same options may serve a mixed list of sources.
//
// # What is lost
//
// What is damaged in the middle of a compressed recording becomes silence of the length that frames or pages beyond it
// prove, or, of MP3, that the mean size of frames makes likely. Source.Report tells of it. A recording that breaks off
// is an error after what is there.
//
// A live source keeps its timeline: a lost packet, the time between two connections, samples that found no room or did
// not come from a device become silence of the length that they had, by timestamps where these can be believed and else
// by the clock. Source.Report tells what was lost.
//
// # When it was
//
// Source.Time gives the UTC instant of each sample. Of a live source, whose clock is never quite right, sampleClock
// compares the samples with the system's clock, so that it stays right for months. Source.Start is the UTC instant of the first sample, and Source.StartFrom says how it is known: ordered
// in Options; from the broadcast extension chunk of the WAV (EBU Tech 3285; it names no zone and is taken
// as UTC, common practice), the tags of an Ogg or SigMF metadata; from the name of the file, if it has a time after ISO
// 8601 with a Z; from the file's modification time less the length of the recording, because a
// recorder touches its file last when it ends (a copy that does not keep times breaks this); or from the
// clock, when the first block of a device or a pipe arrives; a recording that comes through a pipe faster than it sounds
// gets no time to come. Source.Dial is the frequency that SigMF metadata or
// the name of the file tell.
//
// # Why WAV is read here and not by go-audio/wav
//
// go-audio/wav v1.1.0 was measured first. It is kept as the independent check of both directions in the
// tests; TestGoAudioReasons pins what was measured:
//
//   - it needs an io.ReadSeeker, so it cannot read a pipe;
//   - RF64 is refused, and a data length of 0 (an interrupted recorder) gives no samples;
//   - float samples come out as integers made of their bit patterns, without an error;
//   - the length claimed by the fmt chunk is allocated (up to 4 GiB from a file of 36 bytes);
//   - a 16-bit sample takes 17 to 25 ns and each block allocates, against 1.7 ns and no allocation here
//     (BenchmarkGoAudio, BenchmarkWAV: 48 kHz mono 1200 against 12 000 times real time);
//   - its encoder needs a seekable output, and writes one sample at a time through reflection.
//
// FLAC is mewkiz/flac, one frame (at most 65 535 samples) in memory at a time: 190 to 320 times real time at
// 48 kHz, some 70 to 110 ns a sample (BenchmarkFLAC). The library allocates for each frame and does not decode
// 32-bit samples, which ends in a clear error. After a damaged frame it does not find the next one; flacDecoder does,
// and silence of the right length stands for what is lost.
//
// # Why these libraries for the others
//
// Opus is pion/opus (MIT), MP3 hajimehoshi/go-mp3 (Apache 2.0) and Vorbis jfreymuth/vorbis (MIT): pure Go, measured
// against ffmpeg and the reference libraries as said beside each. They stream, but trust what they read, so frames,
// pages and headers are found and checked here, and a panic becomes an error. AIFF, W64 and G.711 are read here, for
// reasons beside them.
//
// The layouts are those of the documents named beside them, cited from memory with their section numbers;
// the recordings in testdata, made by two other tools, confirm them.
package audio
