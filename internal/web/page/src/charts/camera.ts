// Where on the screen a picture is, and how large.

/** Size is in pixels. */
export interface Size { width: number; height: number }

const most = 32; // pixels of the screen for one of the picture: beyond, one sees squares only
const margin = 24; // pixels of the picture's edge that stay on the screen

/** Camera maps pixels of a picture to those of a screen: at scale times picture plus x, y. */
export class Camera {
  scale = 1;
  x = 0;
  y = 0;
  /** fitted says that the picture has the screen's width, and keeps it when the screen changes. */
  fitted = true;
  /** left is the screen's edge on the left that is not free. */
  constructor(public screen: Size, public picture: Size, private left = 0) {}

  private get fit() {
    return Math.max(0.01, (this.screen.width - this.left) / this.picture.width);
  }

  private get least() {
    return Math.min(this.fit, this.screen.height / this.picture.height, 1);
  }

  /** fitWidth gives the picture the screen's width, with its top at the screen's top. */
  fitWidth() {
    this.scale = this.fit;
    this.y = 0;
    this.fitted = true;
    this.hold();
  }

  /** fitAll shows all of the picture. */
  fitAll() {
    this.scale = this.least;
    this.fitted = false;
    this.hold();
  }

  /** zoom makes all larger by a factor about a point of the screen, which stays where it is. */
  zoom(factor: number, px = this.screen.width / 2, py = this.screen.height / 2) {
    const scale = Math.max(this.least, Math.min(most, this.scale * factor));
    this.x = px - ((px - this.x) * scale) / this.scale;
    this.y = py - ((py - this.y) * scale) / this.scale;
    this.scale = scale;
    this.fitted = false;
    this.hold();
  }

  pan(dx: number, dy: number) {
    this.x += dx;
    this.y += dy;
    this.hold();
  }

  /** resize takes another screen or picture; the middle stays where it is. */
  resize(screen: Size, picture: Size) {
    const c = this.centre();
    this.screen = screen;
    this.picture = picture;
    if (this.fitted) {
      const y = this.y;
      this.fitWidth();
      this.pan(0, y);
    } else this.look(c.x, c.y);
  }

  /** centre is the point of the picture in the middle of the screen. */
  centre() {
    return { x: (this.screen.width / 2 - this.x) / this.scale, y: (this.screen.height / 2 - this.y) / this.scale };
  }

  /** look puts a point of the picture into the middle of the screen. */
  look(x: number, y: number) {
    this.x = this.screen.width / 2 - x * this.scale;
    this.y = this.screen.height / 2 - y * this.scale;
    this.hold();
  }

  /** at is the point of the picture at a point of the screen. */
  at(px: number, py: number) {
    return { x: (px - this.x) / this.scale, y: (py - this.y) / this.scale };
  }

  /** hold keeps the picture on the screen: what is smaller lies in the middle, at the top; else no more than a margin is free. */
  private hold() {
    const free = this.fitted ? 0 : margin;
    const held = (at: number, from: number, room: number, size: number) => Math.max(from + room - size - free, Math.min(from + free, at));
    const width = this.scale * this.picture.width, room = this.screen.width - this.left;
    const height = this.scale * this.picture.height;
    this.x = width <= room + 0.5 ? this.left + (room - width) / 2 : held(this.x, this.left, room, width); // half a pixel, since sums are not exact
    this.y = height <= this.screen.height ? 0 : held(this.y, 0, this.screen.height, height);
  }
}
