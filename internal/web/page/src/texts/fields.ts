// Times and frequencies as a person writes them.

const form = /^(\d{4}-\d\d-\d\d)(?:[T ]+(\d\d:\d\d)(?::\d\d(?:\.\d+)?)?)?Z?$/i;

/** readTime reads "2026-11-27" or "2026-11-27 06:00", UTC; null: it is neither. end: a day counts to its end. */
export function readTime(text: string, end = false): string | null {
  const m = text.trim().match(form);
  if (!m) return null;
  const t = new Date(`${m[1]}T${m[2] ?? "00:00"}:00Z`);
  if (isNaN(+t) || t.toISOString().slice(0, 10) !== m[1]) return null;
  return new Date(+t + (end && !m[2] ? 86_400_000 : 0)).toISOString().slice(0, 19) + "Z";
}

/** writeTime is what readTime reads. */
export function writeTime(utc: string | null, end = false): string {
  const t = new Date(utc ?? "");
  if (isNaN(+t)) return "";
  if (+t % 86_400_000 === 0) return new Date(+t - (end ? 86_400_000 : 0)).toISOString().slice(0, 10);
  return t.toISOString().slice(0, 16).replace("T", " ");
}

const near = 1000; // Hz to either side: receivers are tuned, and frequencies written down, to the kHz

/** readFrequency reads "7878.1" or "7800-7900" in kHz; null: it is neither. */
export function readFrequency(text: string): { low_hz: number; high_hz: number } | null {
  const m = text.replaceAll(/kHz|\s/gi, "").match(/^(\d+(?:\.\d+)?)(?:[-–](\d+(?:\.\d+)?))?$/);
  if (!m) return null;
  const hz = (s: string) => Math.round(Number(s) * 1000);
  const [a, b] = [hz(m[1]), hz(m[2] ?? m[1])];
  if (a > b) return null;
  return m[2] ? { low_hz: a, high_hz: b } : { low_hz: Math.max(0, a - near), high_hz: a + near };
}

/** writeFrequency is what readFrequency reads. */
export function writeFrequency(low: string | null, high: string | null): string {
  if (!low || !high) return "";
  const [a, b] = [Number(low), Number(high)];
  return b - a === 2 * near ? String((a + near) / 1000) : `${a / 1000}-${b / 1000}`;
}
