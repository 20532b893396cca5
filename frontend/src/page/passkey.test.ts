import { describe, expect, it } from "vitest";

import { bytesOf, creation, textOf } from "./passkey";

// RFC 4648, section 10: test vectors of base64; the alphabet of section 5 has - and _.
describe("base64url", () => {
  it.each([
    ["", ""],
    ["f", "Zg"],
    ["fo", "Zm8"],
    ["foo", "Zm9v"],
    ["foob", "Zm9vYg"],
    ["fooba", "Zm9vYmE"],
    ["foobar", "Zm9vYmFy"],
  ])("%s is %s", (plain, coded) => {
    const bytes = new TextEncoder().encode(plain);
    expect(textOf(bytes.buffer as ArrayBuffer)).toBe(coded);
    expect(Array.from(bytesOf(coded))).toEqual(Array.from(bytes));
  });

  it("has letters that an address may hold", () => {
    expect(textOf(new Uint8Array([251, 255, 254]).buffer)).toBe("-__-");
    expect(Array.from(bytesOf("-__-"))).toEqual([251, 255, 254]);
  });
});

it("turns the server's texts into bytes", () => {
  const made = creation({
    challenge: "Zm9v",
    user: { id: "Zg", name: "n", displayName: "N" },
    excludeCredentials: [{ id: "Zm8", type: "public-key" }],
    timeout: 5,
  });
  expect(Array.from(made.challenge as Uint8Array)).toEqual([102, 111, 111]);
  expect(Array.from(made.user.id as Uint8Array)).toEqual([102]);
  expect(made.excludeCredentials?.length).toBe(1);
  expect(made.timeout).toBe(5);
});
