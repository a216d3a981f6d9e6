// Pictures from the station, ready to be drawn.

/** Picture is one as it came and as it is drawn. */
export interface Picture { blob: Blob; image: ImageBitmap }

/** bitmap loads a picture; width: it is made that wide at most, since more would not be seen. */
export async function bitmap(url: string, signal: AbortSignal, width?: number): Promise<Picture> {
  const r = await fetch(url, { signal });
  if (!r.ok) {
    const p = await r.json().catch(() => ({}));
    throw new Error(p.detail ?? `The picture did not come: the station answered ${r.status}.`);
  }
  const blob = await r.blob();
  const image = await createImageBitmap(blob);
  if (!width || image.width <= width) return { blob, image };
  const small = await createImageBitmap(image, { resizeWidth: width, resizeHeight: Math.round((image.height * width) / image.width), resizeQuality: "high" });
  image.close();
  return { blob, image: small };
}

/** Latest does one thing at a time: of what is asked meanwhile, it does the latest only. */
export class Latest<T> {
  private next: T | null = null;
  private busy = false;
  constructor(private work: (t: T) => Promise<void>) {}

  async ask(t: T) {
    this.next = t;
    if (this.busy) return;
    this.busy = true;
    while (this.next !== null) {
      const now: T = this.next;
      this.next = null;
      await this.work(now).catch(() => {}); // work tells what is wrong
    }
    this.busy = false;
  }

  drop() {
    this.next = null;
  }
}
