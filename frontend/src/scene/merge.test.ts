import { describe, expect, it } from "vitest";
import { newMark, type Mark, type MarksDocument } from "./marks";
import { merged } from "./merge";

const doc = (...marks: Mark[]): MarksDocument => ({ format: "causeline.marks/1", marks });
const mark = (id: string, x = 0): Mark =>
  newMark(
    id,
    "line",
    [
      [x, 0],
      [1, 1],
    ],
    0,
  );
let count = 0;
const newId = () => `new${(count += 1)}`;
const ids = (document: MarksDocument) =>
  document.marks.map((each) => `${each.id}@${each.spots[0]?.[0]}`);

describe("two pages that drew on one swing", () => {
  it("each keep what they added", () => {
    expect(
      ids(merged(doc(mark("a")), doc(mark("a"), mark("m")), doc(mark("a"), mark("t")), newId)),
    ).toEqual(["a@0", "t@0", "m@0"]);
  });
  it("a change of one of them holds, on either side", () => {
    expect(ids(merged(doc(mark("a")), doc(mark("a", 5)), doc(mark("a")), newId))).toEqual(["a@5"]);
    expect(ids(merged(doc(mark("a")), doc(mark("a")), doc(mark("a", 7)), newId))).toEqual(["a@7"]);
  });
  it("what both changed stands twice", () => {
    const both = ids(merged(doc(mark("a")), doc(mark("a", 5)), doc(mark("a", 7)), newId));
    expect(both).toHaveLength(2);
    expect(both[0]).toBe("a@7");
    expect(both[1]).toMatch(/^new\d+@5$/);
  });
  it("what one took away and the other left alone is gone; what the other changed stays", () => {
    expect(
      ids(merged(doc(mark("a"), mark("b")), doc(mark("b")), doc(mark("a"), mark("b")), newId)),
    ).toEqual(["b@0"]);
    expect(ids(merged(doc(mark("a")), doc(mark("a")), doc(), newId))).toEqual([]);
    expect(ids(merged(doc(mark("a")), doc(), doc(mark("a", 7)), newId))).toEqual(["a@7"]);
    expect(ids(merged(doc(mark("a")), doc(mark("a", 5)), doc(), newId))).toEqual(["a@5"]);
  });
});
