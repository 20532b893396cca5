/** Moving through a grid with holes: a step goes on to the next place that is there. */

export type Way = "left" | "right" | "up" | "down" | "first" | "last";

export interface Place {
  readonly row: number;
  readonly column: number;
}

const STEPS: Readonly<Record<"left" | "right" | "up" | "down", Place>> = {
  left: { row: 0, column: -1 },
  right: { row: 0, column: 1 },
  up: { row: -1, column: 0 },
  down: { row: 1, column: 0 },
};

/** The place after one step; the same one where nothing lies that way. */
export function moved(there: readonly (readonly boolean[])[], from: Place, way: Way): Place {
  if (way === "first" || way === "last") {
    const row = there[from.row] ?? [];
    const column = way === "first" ? row.indexOf(true) : row.lastIndexOf(true);
    return { row: from.row, column: Math.max(column, 0) };
  }
  const step = STEPS[way];
  let row = from.row + step.row;
  let column = from.column + step.column;
  while (there[row]?.[column] !== undefined) {
    if (there[row]![column]) return { row, column };
    row += step.row;
    column += step.column;
  }
  return from;
}
