// Package audio reads recordings, streams and live sources of samples, writes WAV and sends RTP.
//
//	file · standard input ─ Open ─► what is it? ─┬─ WAV header ─┐
//	                                             ├─ raw, ordered ┴► bytes ─ pcm ─┐
//	                                             └─ FLAC ─► frames ──────────────┼► one channel ─► Source
//	rtp:// ─ rtpStream: order, losses ─┐                                         │                │
//	tcp:// ─ tcpFeed: connects again ──┼─ liveFeed: bytes or silence ─ liveReader┤       demod.SampleReader
//	device: ─ deviceFeed: ring, gaps ──┘                                         └► both ─► IQSource: demod.IQReader
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
// The first four bytes decide, not the name: RIFF, RF64 or BW64 is WAV, fLaC is FLAC. All else is raw
// samples if Options order their rate and encoding, and otherwise an error. A header wins over an ordered
// encoding, and contradicting it with an ordered rate is an error, so the same options may serve a mixed
// list of sources.
//
// # What is lost
//
// A live source keeps its timeline: a lost packet, the time between two connections, samples that found no room or did
// not come from a device become silence of the length that they had, by timestamps where these can be believed and else
// by the clock. So Source.Start and the sample rate give the time of each sample; of a network, where a sender's clock may
// be wrong, to within some seconds however long it goes on. Source.Report tells what was lost.
//
// # When it began
//
// Source.Start is the UTC instant of the first sample, and Source.StartFrom says how it is known: ordered
// in Options; from the broadcast extension chunk of the WAV (EBU Tech 3285; it names no zone and is taken
// as UTC, common practice); from the file's modification time less the length of the recording, because a
// recorder touches its file last when it ends (a copy that does not keep times breaks this); or from the
// clock, at the moment when the first block of a pipe or device arrives.
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
// The layouts are those of the documents named beside them, cited from memory with their section numbers;
// the recordings in testdata, made by two other tools, confirm them.
package audio
