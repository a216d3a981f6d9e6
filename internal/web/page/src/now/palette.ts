// Shades of the spectrogram: those of the survey's picture. Their luminance rises all the way, from dark blue by grey to light
// yellow, so that eyes that do not tell red from green see what others see.
const shades: [number, number, number][] = [
  [10, 14, 34], [22, 36, 82], [46, 70, 122], [88, 106, 138], [136, 142, 138], [184, 174, 122], [226, 206, 104], [252, 240, 170],
];

/** palette is 256 shades, from weak to strong, as RGBA. */
export const palette = (() => {
  const p = new Uint8Array(256 * 4);
  for (let v = 0; v < 256; v++) {
    const at = (v / 255) * (shades.length - 1);
    const i = Math.min(Math.floor(at), shades.length - 2);
    for (let c = 0; c < 3; c++) p[4 * v + c] = Math.round(shades[i][c] + (at - i) * (shades[i + 1][c] - shades[i][c]));
    p[4 * v + 3] = 255;
  }
  return p;
})();
