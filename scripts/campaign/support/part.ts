/** What a part of the campaign is given, and what it gives. */
export interface PartOptions {
  seed: string;
  /** How often a hub is killed at most. */
  kills: number;
  /** How long a part may last, seconds; it stops between two steps. */
  seconds: number;
}

export interface Figure {
  figure: string;
  value: number;
  unit: string;
  /** Where more than this (or less) is a finding: the campaign then fails. */
  most?: number;
  least?: number;
}

export type Part = (options: PartOptions, say: (line: string) => void) => Promise<Figure[]>;
