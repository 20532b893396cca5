import { describe, expect, it } from "vitest";
import { days, today, type Practice } from "./plan";

const on = (uid: string, day: string): Practice => ({ uid, day, told: day, minutes: 15, drills: [], note: "" });
const PLAN = [on("a", "2026-04-07"), on("b", "2026-04-09"), on("c", "2026-04-12"), on("d", "2026-04-14")];
const ask = (day: string, ticked: string[] = [], now: string[] = []) =>
  today(PLAN, new Set([...ticked, ...now]), new Set(now), day, "2026-04-28");

describe("what today asks for", () => {
  it("is the day's own practice", () => {
    expect(ask("2026-04-09", ["a"])).toMatchObject({ kind: "practise", number: 2, late: false });
  });
  it("is a missed one, where the next does not follow at once", () => {
    expect(ask("2026-04-10", ["a"])).toMatchObject({ kind: "practise", number: 2, late: true });
    expect(ask("2026-04-11", ["a"])).toMatchObject({ kind: "rest", number: 3 });
  });
  it("is the newest missed one alone: nothing is made up for", () => {
    expect(ask("2026-04-10")).toMatchObject({ kind: "practise", number: 2 });
  });
  it("lets a practice go after three days", () => {
    expect(ask("2026-04-17", ["a", "b", "c"])).toMatchObject({ kind: "practise", number: 4 });
    expect(ask("2026-04-18", ["a", "b", "c"])).toMatchObject({ kind: "over" });
  });
  it("is rest on the days between", () => {
    expect(ask("2026-04-08", ["a"])).toMatchObject({ kind: "rest", number: 2 });
    expect(ask("2026-04-01")).toMatchObject({ kind: "rest", number: 1 });
  });
  it("is done once it was ticked today, whichever it was", () => {
    expect(ask("2026-04-10", ["a"], ["b"])).toMatchObject({ kind: "done", number: 2 });
  });
  it("is filming when its day has come, and the end of the plan before that", () => {
    expect(ask("2026-04-28", ["a", "b", "c", "d"])).toEqual({ kind: "film" });
    expect(ask("2026-04-20", ["a", "b", "c", "d"])).toEqual({ kind: "over" });
  });
  it("counts days across a change of clocks", () => {
    expect(days("2026-03-28", "2026-03-30")).toBe(2);
  });
});
