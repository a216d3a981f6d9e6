// Sound that never ends, as it comes. A media element would gather some 150 kB of it before it begins, ten seconds of a receiver's
// audio, and stay that far behind; here it is played a quarter of a second after it came.

const lead = 0.25; // s that are in hand when it begins, or begins again after a pause of the network
const mostInHand = 1.5; // s; what comes beyond is left out, so that it does not fall behind for ever

/** Player plays a 16-bit mono WAV from an address until it is closed. */
export class Player {
  private request = new AbortController();
  private context: AudioContext | null = null;
  private gain: GainNode | null = null;
  private next = 0; // s of the context's clock at which the next piece begins
  private odd: Uint8Array<ArrayBuffer> = new Uint8Array(0); // a byte of half a sample

  /** heard is called when the first sound is played, lost when it ends although nobody closed it. */
  constructor(address: string, private loudness: number, private heard: () => void, lost: (why: string) => void) {
    this.run(address).then(
      () => lost("the receiver gives no sound any more"),
      (e: Error) => this.request.signal.aborted || lost(e.message),
    );
  }

  volume(v: number) {
    this.loudness = v;
    if (this.gain) this.gain.gain.value = v;
  }

  close() {
    this.request.abort();
    void this.context?.close();
    this.context = null;
  }

  private async run(address: string) {
    const answer = await fetch(address, { signal: this.request.signal });
    if (!answer.ok) throw new Error(((await answer.json().catch(() => null)) as { detail?: string } | null)?.detail ?? `the station answered ${answer.status}`);
    const reader = answer.body!.getReader();
    let head: Uint8Array = new Uint8Array(0);
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      if (this.context) {
        this.play(value);
        continue;
      }
      head = joined(head, value);
      const wav = begin(head);
      if (!wav) continue;
      this.open(wav.rate);
      this.play(head.slice(wav.data));
    }
  }

  private open(rate: number) {
    this.context = new AudioContext({ sampleRate: rate, latencyHint: "interactive" }); // the same rate, so that pieces join without a click
    this.gain = this.context.createGain();
    this.gain.gain.value = this.loudness;
    this.gain.connect(this.context.destination);
    void this.context.resume();
    this.heard();
  }

  private play(piece: Uint8Array) {
    const c = this.context;
    if (!c || !this.gain) return;
    const bytes = joined(this.odd, piece);
    const n = bytes.length >> 1;
    this.odd = bytes.slice(2 * n);
    if (!n) return;
    if (this.next < c.currentTime) this.next = Math.ceil((c.currentTime + lead) * c.sampleRate) / c.sampleRate;
    if (this.next - c.currentTime > mostInHand) return;
    const view = new DataView(bytes.buffer, bytes.byteOffset);
    const buffer = c.createBuffer(1, n, c.sampleRate);
    const to = buffer.getChannelData(0);
    for (let i = 0; i < n; i++) to[i] = view.getInt16(2 * i, true) / 32768;
    const source = c.createBufferSource();
    source.buffer = buffer;
    source.connect(this.gain);
    source.start(this.next);
    this.next += n / c.sampleRate;
  }
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array<ArrayBuffer> {
  const all = new Uint8Array(a.length + b.length);
  all.set(a);
  all.set(b, a.length);
  return all;
}

/** begin reads the beginning of a WAV: its sample rate, and where its samples begin; null: more of it is needed. */
function begin(b: Uint8Array): { rate: number; data: number } | null {
  const v = new DataView(b.buffer, b.byteOffset, b.byteLength);
  let rate = 0;
  for (let at = 12; at + 8 <= b.length; ) { // after "RIFF", its size and "WAVE" come chunks
    const name = v.getUint32(at), size = v.getUint32(at + 4, true);
    if (name === 0x666d7420 && at + 16 <= b.length) rate = v.getUint32(at + 12, true); // "fmt "
    if (name === 0x64617461) return { rate, data: at + 8 }; // "data"
    at += 8 + size + (size & 1);
  }
  return null;
}
