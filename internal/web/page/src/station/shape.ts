// Shapes of the answers under /api/station.
import type { Receiver } from "../types.ts";

export interface ConfigProblem { line: number; column: number; message: string; mend: string }

/** Keys are the table of a receiver as it is written in station.toml. */
export interface Keys {
  source: string; dial?: string; sideband?: string; iq?: string; channel?: string; place?: string; copy?: string[]; hours?: string[]; sound?: string;
}

/** Row is a receiver that runs, one that station.toml has, or both. */
export interface Row { name: string; now?: Receiver; keys?: Keys; tunes: boolean; in_file: boolean }

/** Config is station.toml; its text is there for those who may change it. */
export interface Config { path?: string; text?: string; sha256?: string; problems: ConfigProblem[]; writable: boolean }
export interface Incident { utc: string; what: string; receiver?: string; transmission?: number; seconds: number; text: string }
export interface Deletion { utc: string; kind: string; transmission?: number; title?: string; begin_utc: string; bytes: number; reason: string }

export interface Station {
  name: string; place?: string; began_utc: string; utc: string; version: string;
  config: Config;
  health: { well: boolean; trouble?: string; charts_waiting: number; charts_lost: number };
  disk?: { free_bytes: number; total_bytes: number; filling_bytes_a_day?: number; measured_seconds: number };
  archive: { bytes: number; pending_rows: number; rows: number; lost_rows: number; committed_utc?: string };
  receivers: Row[];
  incidents: Incident[]; incident_count: number;
  deletions: Deletion[]; deleted: { kind: string; count: number; bytes: number }[];
  cautions: string[];
}

/** Written is what became of a change of station.toml. */
export interface Written { written: boolean; text: string; why?: string }

/** problemsIn are the mistakes that a refusal tells of. */
export const problemsIn = (e: unknown): ConfigProblem[] => (e as { problem?: { problems?: ConfigProblem[] } }).problem?.problems ?? [];

/** mayChange says that whoever looks may change station.toml. */
export const mayChange = (s: Station) => s.config.text !== undefined;
