// Lines are rows of a ring texture: a new one is uploaded alone, and the rest is the shader's.
import { palette } from "./palette.ts";
import type { Look, Painter } from "./painter.ts";

const corners = `#version 300 es
void main() { gl_Position = vec4(vec2(gl_VertexID & 1, gl_VertexID >> 1) * 4.0 - 1.0, 0, 1); }`;

// A sample lies between two lines and two bins, which the texture's filter mixes. Where a pixel is wider than a bin there are several
// samples, and it shows the strongest, so that a narrow signal is not lost. Their number is a constant of the program: renderers in
// software take half as long again for a loop that is not.
const shade = (samples: number) => `#version 300 es
precision highp float;
uniform sampler2D ring;   // a texel a bin and line; it repeats
uniform sampler2D shades;
uniform vec4 across;      // place in the ring of the left edge; by pixel; of the first sample in a pixel; from sample to sample
uniform vec4 down;        // place in the ring of the upper edge; by pixel; of the newest and of the oldest line there are
uniform vec2 levels;      // of the darkest shade; by step
uniform float high;       // pixels of the canvas
out vec4 colour;
void main() {
  float line = down.x - (high - gl_FragCoord.y) * down.y;
  vec2 at = vec2(across.x + (gl_FragCoord.x - 0.5) * across.y + across.z, min(line, down.z));
  float v = texture(ring, at).r;
  for (int i = 1; i < ${samples}; i++) v = max(v, texture(ring, at + vec2(float(i) * across.w, 0)).r);
  v = line < down.w ? 0.0 : (v - levels.x) * levels.y;
  colour = texture(shades, vec2(v, 0.5));
}`;

const mostSamples = 8; // a pixel; there are as many bins a pixel on no screen
const names = ["ring", "shades", "across", "down", "levels", "high"] as const;

/** Program is the shader for a number of samples a pixel. */
interface Program { program: WebGLProgram; at: Record<(typeof names)[number], WebGLUniformLocation | null> }

export class GLPainter implements Painter {
  private programs = new Map<number, Program>();
  private kept: Uint8Array; // for a context that is lost and comes back

  /** make makes one; null: there is no WebGL2 that can do it. */
  static make(canvas: HTMLCanvasElement, bins: number, lines: number): GLPainter | null {
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false, powerPreference: "low-power" });
    if (!gl || gl.getParameter(gl.MAX_TEXTURE_SIZE) < Math.max(bins, lines)) return null;
    const p = new GLPainter(canvas, gl, bins, lines);
    return p.begin() ? p : null;
  }

  private constructor(canvas: HTMLCanvasElement, private gl: WebGL2RenderingContext, private bins: number, private lines: number) {
    this.kept = new Uint8Array(bins * lines);
    canvas.addEventListener("webglcontextlost", (e) => e.preventDefault()); // so that it is restored
    canvas.addEventListener("webglcontextrestored", () => this.begin());
  }

  private begin(): boolean {
    const gl = this.gl;
    this.programs.clear();
    if (!this.program(1)) return false;
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.activeTexture(gl.TEXTURE1);
    this.texture(gl.CLAMP_TO_EDGE, gl.NEAREST);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, 256, 1, 0, gl.RGBA, gl.UNSIGNED_BYTE, palette);
    gl.activeTexture(gl.TEXTURE0);
    this.texture(gl.REPEAT, gl.LINEAR);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.R8, this.bins, this.lines, 0, gl.RED, gl.UNSIGNED_BYTE, this.kept);
    return true;
  }

  private program(samples: number): Program | null {
    const known = this.programs.get(samples);
    if (known) return known;
    const gl = this.gl;
    const program = gl.createProgram()!;
    for (const [kind, source] of [[gl.VERTEX_SHADER, corners], [gl.FRAGMENT_SHADER, shade(samples)]] as const) {
      const s = gl.createShader(kind)!;
      gl.shaderSource(s, source);
      gl.compileShader(s);
      gl.attachShader(program, s);
      gl.deleteShader(s); // with the program
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) {
      if (!gl.isContextLost()) console.warn("WebGL2 cannot draw the spectrogram:", gl.getProgramInfoLog(program));
      return null;
    }
    const at = Object.fromEntries(names.map((n) => [n, gl.getUniformLocation(program, n)])) as Program["at"];
    gl.useProgram(program);
    gl.uniform1i(at.ring, 0);
    gl.uniform1i(at.shades, 1);
    const p = { program, at };
    this.programs.set(samples, p);
    return p;
  }

  private texture(wrapLines: number, filter: number) {
    const gl = this.gl;
    gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, filter);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, filter);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, wrapLines);
  }

  line(number: number, bins: Uint8Array) {
    const gl = this.gl;
    const at = number % this.lines;
    this.kept.set(bins, at * this.bins);
    gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, at, this.bins, 1, gl.RED, gl.UNSIGNED_BYTE, bins);
  }

  draw(l: Look) {
    const gl = this.gl;
    const { width, height } = gl.canvas;
    const wide = (l.end - l.first) / width; // bins a pixel
    const samples = Math.max(1, Math.min(mostSamples, Math.ceil(wide)));
    const p = this.program(samples);
    if (!p) return;
    const turns = Math.floor(l.head / this.lines); // of the ring, left out lest figures grow
    const place = (line: number) => line / this.lines - turns;
    gl.useProgram(p.program);
    gl.viewport(0, 0, width, height);
    gl.uniform4f(p.at.across, l.first / this.bins, wide / this.bins, (wide / samples / 2) / this.bins, wide / samples / this.bins);
    gl.uniform4f(p.at.down, place(l.head), 1 / l.line / this.lines, place(l.count - 0.5), place(Math.max(0, l.count - this.lines)));
    gl.uniform2f(p.at.levels, l.black / 255, 255 / (l.white - l.black));
    gl.uniform1f(p.at.high, height);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  close() {
    this.gl.getExtension("WEBGL_lose_context")?.loseContext(); // at once: browsers allow few of them
  }
}
