// Lines are rows of a ring texture: a new one is uploaded alone, and the rest is arithmetic of the shader.
import { palette } from "./palette.ts";
import type { Look, Painter } from "./painter.ts";

const corners = `#version 300 es
void main() { gl_Position = vec4(vec2(gl_VertexID & 1, gl_VertexID >> 1) * 4.0 - 1.0, 0, 1); }`;

// A pixel lies between two lines, and between two bins. Where a pixel is wider than a bin it shows the strongest one, so that a
// narrow signal is not lost.
const shade = `#version 300 es
precision highp float;
precision highp int;
precision highp usampler2D;
uniform usampler2D ring;
uniform sampler2D shades;
uniform vec2 size;       // of the canvas
uniform vec2 bins;       // at the left and the right edge
uniform vec2 levels;     // of the darkest and the lightest shade
uniform float line;      // pixels a line
uniform float part;      // of a line above the upper edge
uniform ivec3 lines;     // whole ones above the upper edge, those that there are, size of the ring
out vec4 colour;
float bin(int b, int row) { return float(texelFetch(ring, ivec2(clamp(b, 0, textureSize(ring, 0).x - 1), row), 0).r); }
float value(int n, float from, float wide) {
  int row = min(n, lines.y - 1) % lines.z;
  if (wide <= 1.0) {
    float c = from + 0.5 * wide - 0.5;
    int b = int(floor(c));
    return mix(bin(b, row), bin(b + 1, row), c - float(b));
  }
  float most = 0.0;
  for (int b = int(from); b < int(ceil(from + wide)); b++) most = max(most, bin(b, row));
  return most;
}
void main() {
  float c = part - (size.y - gl_FragCoord.y) / line - 0.5;
  int n = lines.x + int(floor(c));
  if (n < 0 || n < lines.y - lines.z) { colour = vec4(texture(shades, vec2(0)).rgb, 1); return; }
  float wide = (bins.y - bins.x) / size.x;
  float from = bins.x + (gl_FragCoord.x - 0.5) * wide;
  float v = mix(value(n, from, wide), value(n + 1, from, wide), c - floor(c));
  colour = texture(shades, vec2((clamp((v - levels.x) / (levels.y - levels.x), 0.0, 1.0) * 255.0 + 0.5) / 256.0, 0.5));
}`;

const names = ["ring", "shades", "size", "bins", "levels", "line", "part", "lines"] as const;

export class GLPainter implements Painter {
  private at = {} as Record<(typeof names)[number], WebGLUniformLocation | null>;
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
    const program = gl.createProgram()!;
    for (const [kind, source] of [[gl.VERTEX_SHADER, corners], [gl.FRAGMENT_SHADER, shade]] as const) {
      const s = gl.createShader(kind)!;
      gl.shaderSource(s, source);
      gl.compileShader(s);
      gl.attachShader(program, s);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) {
      console.warn("WebGL2 cannot draw the spectrogram:", gl.getProgramInfoLog(program));
      return false;
    }
    gl.useProgram(program);
    for (const n of names) this.at[n] = gl.getUniformLocation(program, n);
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.activeTexture(gl.TEXTURE1);
    this.texture(gl.LINEAR);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, 256, 1, 0, gl.RGBA, gl.UNSIGNED_BYTE, palette);
    gl.activeTexture(gl.TEXTURE0);
    this.texture(gl.NEAREST);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.R8UI, this.bins, this.lines, 0, gl.RED_INTEGER, gl.UNSIGNED_BYTE, this.kept);
    gl.uniform1i(this.at.ring, 0);
    gl.uniform1i(this.at.shades, 1);
    return true;
  }

  private texture(filter: number) {
    const gl = this.gl;
    gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, filter);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, filter);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
  }

  line(number: number, bins: Uint8Array) {
    const gl = this.gl;
    const at = number % this.lines;
    this.kept.set(bins, at * this.bins);
    gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, at, this.bins, 1, gl.RED_INTEGER, gl.UNSIGNED_BYTE, bins);
  }

  draw(l: Look) {
    const gl = this.gl;
    const { width, height } = gl.canvas;
    const whole = Math.floor(l.head);
    gl.viewport(0, 0, width, height);
    gl.uniform2f(this.at.size, width, height);
    gl.uniform2f(this.at.bins, l.first, l.end);
    gl.uniform2f(this.at.levels, l.black, l.white);
    gl.uniform1f(this.at.line, l.line);
    gl.uniform1f(this.at.part, l.head - whole);
    gl.uniform3i(this.at.lines, whole, l.count, this.lines);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  close() {
    this.gl.getExtension("WEBGL_lose_context")?.loseContext(); // at once: browsers allow few of them
  }
}
