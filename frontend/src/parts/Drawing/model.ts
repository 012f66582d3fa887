/**
 * The elevation as the server draws it: shapes in metres, x to the right and z
 * upward. Nothing here knows of pixels.
 */

/** A part of the machine, as the input names it: a part of the trompe, or a section of the sheet. */
export type Part =
  | "site"
  | "supply"
  | "intake"
  | "downcomer"
  | "chamber"
  | "riser"
  | "takeoff"
  | "source"
  | "supply_pipe"
  | "ram"
  | "lift"
  | "pulse"
  | "air_line"
  | "receiver"
  | "uses";

/** How a shape is drawn: the first six are areas, the others lines. */
export type Kind =
  | "ground"
  | "water"
  | "air"
  | "mixture"
  | "film"
  | "dry"
  | "outline"
  | "thin"
  | "centre"
  | "tube"
  | "hose"
  | "pipe"
  | "break";

/** Where a label had best stand. */
export type Side = "left" | "right";

/** x and z in metres. */
export type Point = number[];

/** What a label's value is; the reader's units follow from it. */
export type Measure = "bore" | "length" | "area" | "pressure" | "flow" | "free_air" | "volume" | "ratio";

export interface Shape {
  id: string;
  part: Part;
  kind: Kind;
  points: Point[];
  closed: boolean;
  void?: number;
}

export interface Level {
  id: string;
  part: Part;
  text: string;
  at: Point;
  side: Side;
  value: number;
  rank: number;
}

export interface Dimension {
  id: string;
  part: Part;
  text: string;
  from: Point;
  to: Point;
  side: Side;
  value: number;
  rank: number;
}

export interface Label {
  id: string;
  part: Part;
  text: string;
  at: Point;
  side: Side;
  value?: number;
  quantity?: Measure;
  rank: number;
}

/** A sign of fixed size: a gauge, a valve, one that is shut, one that lets through one way, or what the air is for. */
export interface Fitting {
  id: string;
  part: Part;
  kind: "gauge" | "valve" | "shut" | "check" | "nozzle" | "tool" | "forge" | "diffuser";
  at: Point;
}

/** The air tubes of one intake from above, in metres from the middle of the circle around them. */
export interface Bundle {
  round_m: number;
  tube_id_m: number;
  tube_od_m: number;
  count: number;
  /** Share of the circle that the tubes take. */
  fill: number;
  /** Empty where there are too many to draw. */
  tubes: Point[];
  notes: string[];
}

export interface Pin {
  code: string;
  part: Part;
  text: string;
  /** What was found, in a few words more. */
  detail?: string;
  at: Point;
  side: Side;
}

/** One drawing, as it stands in the answers of the server. */
export interface Elevation {
  frame: { x0: number; z0: number; x1: number; z1: number };
  columns: { x0: number; x1: number }[];
  shapes: Shape[];
  levels: Level[];
  dimensions: Dimension[];
  labels: Label[];
  fittings: Fitting[];
  warnings: Pin[];
  notes: string[];
  bundle: Bundle | null;
}
