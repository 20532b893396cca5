import { describe, expect, it } from "vitest";
import { judged } from "./send";

describe("what an answer means for what was sent", () => {
  it("keeps on the phone whatever may still get through", () => {
    for (const status of [0, 408, 500, 502, 507]) expect(judged(status, "")).toEqual({ kind: "later", slow: false });
    expect(judged(429, "")).toEqual({ kind: "later", slow: true });
  });
  it("lets go of what was kept, of what is refused, and of a page that was withdrawn", () => {
    expect(judged(204, "")).toEqual({ kind: "kept" });
    expect(judged(410, "")).toEqual({ kind: "gone" });
    expect(judged(415, '{"came": "that file is no film"}')).toMatchObject({ kind: "refused", reason: "that file is no film" });
    expect(judged(413, "<html>")).toMatchObject({ kind: "refused", reason: "" });
  });
});
