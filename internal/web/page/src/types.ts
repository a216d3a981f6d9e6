// Shapes of the interface under /api/, as its OpenAPI document has them.

export interface Transmission {
  transmission: number; receiver: string; source?: string; mode: string; settings?: string; state: "arriving" | "complete" | "cut";
  begin_utc: string; end_utc: string; time_from?: string; on_air: boolean; hz: number; low_hz?: number; high_hz?: number;
  snr_db: number; quality: number; title?: string; programme_entry?: string; notes?: string; rating?: number; favourite?: boolean;
  lines?: number; characters?: number; doubtful?: number;
}

/** Match is a line in which something was found: where (UTF-16), and of each place what a garbled word may be, or "". */
export interface Match { line: number; begin_utc: string; end_utc: string; text: string; matches?: [number, number][]; may_be?: string[] }
export interface Hit extends Transmission { chart?: number; found?: Match[] }

/** TextChar is a character, its confidence, and what it may be otherwise. */
export type TextChar = [string, number, string[]?];
export interface TextLine extends Match { chars: TextChar[] }
/** Record_ is all of a transmission; of a long text a part, which next_line goes on from. */
export interface Record_ extends Transmission { text: TextLine[]; next_line?: number; charts: Chart[]; levels: { utc: string; snr_db: number }[] }

export interface Chart {
  chart: number; transmission: number; title: string; begin_utc: string; end_utc: string; receiver: string; hz: number; on_air: boolean;
  quality: number; rating: number; favourite: boolean; width: number; height: number; lpm: number; ioc: number; snr_db: number; versions: number;
}
export interface Changes {
  shift?: number; clock_ppm?: number; lpm?: number; ioc?: number; invert?: boolean; black?: number; white?: number; plain?: boolean;
  deviation_hz?: number; tuning_hz?: number;
}
export interface ChartVersion { chart: number; made_utc: string; changes: Changes; latest: boolean }
export interface ChartDetail extends Chart {
  info: { [key: string]: unknown }; line_quality: number[]; notes: string; can_redraw: boolean; changes: Changes; version_list: ChartVersion[];
  previous?: number; following?: number; picture_bytes: number;
}

export interface Level { rms_db: number; peak_db: number; clipped: number }
export interface Receiver {
  number: number; name: string; connected: boolean; ended: boolean; since_utc: string; error?: string; tries: number; rate_hz: number; iq: boolean;
  on_air: boolean; dial_hz: number; dial_from?: string; low_hz: number; high_hz: number; source: string; copying: number; level?: Level;
  lost_samples: number; samples: number; clock_ppm: number; heard_to_utc?: string;
}
export type Char = [string, number];
export interface Going extends Transmission { text?: Char[]; chart?: { rows: number; width: number; drawing: boolean } }
export interface Now { number: number; utc: string; station: string; place?: string; receivers: Receiver[]; transmissions: Going[] }

export interface Session { role: "none" | "look" | "change"; user: string; password_needed: boolean }
export interface Problem { title: string; status: number; detail: string; problems?: { line: number; column: number; message: string; mend: string }[] }
