/** Two pages drew on one swing: what both have drawn, nothing of either lost. */
import { MARKS_FORMAT, type Mark, type MarksDocument } from "./marks";

/**
 * Theirs with mine on top. A mark that both changed from `base` stands twice, mine under a new id;
 * one that one of them took away and the other left alone is gone.
 */
export function merged(
  base: MarksDocument,
  mine: MarksDocument,
  theirs: MarksDocument,
  newId: () => string,
): MarksDocument {
  const was = byId(base);
  const [own, other] = [byId(mine), byId(theirs)];
  const marks: Mark[] = [];
  for (const mark of theirs.marks) {
    const kept = own.get(mark.id);
    const before = was.get(mark.id);
    const theyChanged = before === undefined || !same(before, mark);
    if (kept === undefined && before !== undefined && !theyChanged) continue; // I took it away
    const iChanged = kept !== undefined && (before === undefined || !same(before, kept));
    if (!iChanged || theyChanged || kept === undefined) marks.push(mark);
    if (iChanged && kept !== undefined && !same(kept, mark)) {
      marks.push(theyChanged ? { ...kept, id: newId() } : kept);
    }
  }
  for (const mark of mine.marks) {
    if (other.has(mark.id)) continue;
    const before = was.get(mark.id);
    if (before === undefined || !same(before, mark)) marks.push(mark);
  }
  return { format: MARKS_FORMAT, marks };
}

function byId(document: MarksDocument): Map<string, Mark> {
  return new Map(document.marks.map((mark) => [mark.id, mark]));
}

export function same(one: unknown, other: unknown): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}
