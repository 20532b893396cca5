import { describe, expect, it } from "vitest";
import { actOf, KEYS } from "./keys";
import { fitting, laidOut } from "./margin";

function press(
  key: string,
  held: Partial<Pick<KeyboardEvent, "shiftKey" | "ctrlKey" | "altKey">> = {},
  code = "",
) {
  return {
    key,
    code,
    shiftKey: false,
    ctrlKey: false,
    altKey: false,
    metaKey: false,
    ...held,
  } as KeyboardEvent;
}

describe("keys", () => {
  it("do one thing each", () => {
    const all = KEYS.flatMap((key) => key.keys);
    expect(new Set(all).size).toBe(all.length);
  });

  it("act by what they say, digits also where a layout has another sign on them", () => {
    expect(actOf(press("ArrowRight"))).toEqual({ act: "frame 1", key: "ArrowRight" });
    expect(actOf(press("ArrowRight", { shiftKey: true }))?.act).toBe("frame 10");
    expect(actOf(press("5", {}, "Digit5"))).toEqual({ act: "digit", key: "5" });
    expect(actOf(press("%", { shiftKey: true }, "Digit5"))).toEqual({ act: "set digit", key: "5" });
    expect(actOf(press("?", { shiftKey: true }))?.act).toBe("keys");
    expect(actOf(press("z", { ctrlKey: true }))?.act).toBe("undo");
    expect(actOf(press("+", { shiftKey: true }))?.act).toBe("zoom 1");
    expect(actOf(press("ArrowUp", { ctrlKey: true, shiftKey: true }))?.act).toBe("cross");
  });

  it("leave the browser its own", () => {
    expect(actOf(press("ArrowLeft", { altKey: true }))).toBeNull();
    expect(actOf(press("r"))).toBeNull();
    expect(actOf(press("c", { ctrlKey: true }))).toBeNull();
  });
});

describe("numbers in the margin", () => {
  const at = (...places: number[]) => places.map((place) => ({ at: place, height: 40 }));

  it("stand where what they measure is, where there is room", () => {
    expect(laidOut(at(100, 300), 400)).toEqual([80, 280]);
  });

  it("neither overlap nor leave the margin", () => {
    expect(laidOut(at(100, 105, 110), 400)).toEqual([80, 120, 160]);
    expect(laidOut(at(0, 390, 395), 400)).toEqual([0, 320, 360]);
    expect(laidOut(at(1e6, 1e6), 80)).toEqual([0, 40]);
    expect(fitting(100, 44)).toBe(2);
  });
});
