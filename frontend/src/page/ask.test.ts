import { describe, expect, it } from "vitest";
import { Told, toldBy } from "./ask";

describe("what went wrong", () => {
  it("is told in sentences", () => {
    const told = new Told(413, "more than 2 megabytes came", "less was expected", "send less");
    expect(told.message).toBe("More than 2 megabytes came. Less was expected. Send less.");
  });

  it("is told even where the answer is no JSON", async () => {
    const told = await toldBy(new Response("gateway", { status: 502 }));
    expect(told.status).toBe(502);
    expect(told.message).toBe("The app answered 502. Try it again.");
  });
});
