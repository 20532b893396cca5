/** Paints a row: the frame, then the shapes that the scene describes, in the band's pixels. */
import { toBand, type Lie, type Size } from "../geometry/view";
import type { Point } from "../geometry/vector";
import { REFERENCE_PX, type Ink, type Shape } from "../scene/describe";

/** What can be drawn as a frame: a decoded one, or a picture that was sent. */
export type Drawable = VideoFrame | ImageBitmap;

/** The coach's inks, each by a word; chosen to be told apart on grass, sky and indoors. */
export const INKS = [
  { word: "chalk", colour: "#fffaf0" },
  { word: "amber", colour: "#ffc247" },
  { word: "sky", colour: "#86d0ff" },
  { word: "rose", colour: "#ff9dc6" },
] as const;

const COLOURS: Readonly<Record<string, string>> = {
  body: "rgb(226 242 250 / 92%)",
  club: "#ffe49c",
  focus: "#ffffff",
  ...Object.fromEntries(INKS.map((ink, k) => [`ink${k}`, ink.colour])),
};
const EDGE = "rgb(6 16 24 / 68%)";
const FONT = '"Causeline Figures", "Avenir Next Condensed", "Segoe UI", sans-serif';

export interface Sheet {
  readonly context: CanvasRenderingContext2D;
  /** Canvas pixels. */
  readonly size: Size;
  readonly lie: Lie;
  /** Canvas pixels for a unit of the shapes' widths. */
  readonly unit: number;
}

/** The frame alone, or what stands for one that is not there yet. */
export function paintFrame(sheet: Sheet, frame: Drawable | null, clip: Size): void {
  const { context, size, lie } = sheet;
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.fillStyle = "#0a141b";
  context.fillRect(0, 0, size.width, size.height);
  if (frame === null) return;
  context.setTransform(lie.across, 0, 0, lie.down, lie.right, lie.below);
  context.imageSmoothingQuality = "medium";
  context.drawImage(frame, 0, 0, clip.width, clip.height);
  context.setTransform(1, 0, 0, 1, 0, 0);
}

export function paintShapes(sheet: Sheet, shapes: readonly Shape[]): void {
  sheet.context.lineCap = "round";
  sheet.context.lineJoin = "round";
  const taken: Box[] = [];
  for (const shape of shapes) {
    if (shape.kind !== "text") paintShape(sheet, shape);
  }
  for (const shape of shapes) {
    if (shape.kind === "text") paintText(sheet, shape, taken);
  }
}

interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

function paintShape(sheet: Sheet, shape: Exclude<Shape, { kind: "text" }>): void {
  switch (shape.kind) {
    case "path":
      return paintPath(sheet, shape);
    case "area":
      return paintArea(sheet, shape.points, shape.ink);
    case "ring":
      return paintRing(sheet, shape);
    case "sign":
      return paintSign(sheet, shape);
  }
}

function colourOf(ink: Ink): string {
  return COLOURS[ink] ?? (COLOURS["ink0"] as string);
}

/** Every line has a dark edge, so that it is seen on any picture. */
function stroke(sheet: Sheet, ink: Ink, width: number, dash: readonly number[]): void {
  const { context, unit } = sheet;
  context.setLineDash([]);
  context.strokeStyle = EDGE;
  context.lineWidth = (width + 2) * unit;
  context.globalAlpha = dash.length > 0 ? 0.45 : 1;
  context.stroke();
  context.globalAlpha = 1;
  context.setLineDash(dash.map((each) => each * unit));
  context.strokeStyle = colourOf(ink);
  context.lineWidth = width * unit;
  context.stroke();
  context.setLineDash([]);
}

function trace(sheet: Sheet, points: readonly Point[]): void {
  const { context, lie } = sheet;
  context.beginPath();
  points.forEach((point, k) => {
    const [x, y] = toBand(lie, point);
    if (k === 0) context.moveTo(x, y);
    else context.lineTo(x, y);
  });
}

function paintPath(sheet: Sheet, shape: Extract<Shape, { kind: "path" }>): void {
  if (shape.points.length < 2) return;
  trace(sheet, shape.points);
  stroke(sheet, shape.ink, shape.width, shape.dash);
}

function paintArea(sheet: Sheet, points: readonly Point[], ink: Ink): void {
  if (points.length < 3) return;
  trace(sheet, points);
  const { context, unit } = sheet;
  context.closePath();
  context.strokeStyle = EDGE;
  context.lineWidth = 2 * unit;
  context.stroke();
  context.fillStyle = colourOf(ink);
  context.fill();
}

function paintRing(sheet: Sheet, shape: Extract<Shape, { kind: "ring" }>): void {
  const [x, y] = toBand(sheet.lie, shape.at);
  sheet.context.beginPath();
  sheet.context.arc(x, y, shape.radius * sheet.lie.down, 0, 2 * Math.PI);
  stroke(sheet, shape.ink, shape.width, []);
}

function paintSign(sheet: Sheet, shape: Extract<Shape, { kind: "sign" }>): void {
  const { context, unit } = sheet;
  const [x, y] = toBand(sheet.lie, shape.at);
  const size = shape.size * unit;
  context.beginPath();
  if (shape.form === "square") context.rect(x - size, y - size, 2 * size, 2 * size);
  else context.arc(x, y, size, 0, 2 * Math.PI);
  context.fillStyle = shape.form === "full" ? colourOf(shape.ink) : EDGE;
  context.fill();
  stroke(sheet, shape.ink, shape.form === "full" ? 0.5 : 1.6, []);
}

/** Words near their place, above all lines; where words stand already, below those. */
function paintText(sheet: Sheet, shape: Extract<Shape, { kind: "text" }>, taken: Box[]): void {
  const { context, unit, size } = sheet;
  const [x, y] = toBand(sheet.lie, shape.at);
  const high = shape.size * unit;
  context.font = `500 ${high}px ${FONT}`;
  const wide = context.measureText(shape.text).width;
  const room = 0.45 * high;
  const left = Math.min(Math.max(x + 10 * unit, 2), size.width - wide - 2 * room - 2);
  const tall = high + 1.4 * room;
  let top = Math.min(Math.max(y - 2.1 * high, 2), size.height - high - 2 * room);
  const right = left + wide + 2 * room;
  for (const box of [...taken].sort((a, b) => a.top - b.top)) {
    const apart = right < box.left || left > box.right || top + tall < box.top || top > box.bottom;
    if (!apart) top = box.bottom + 1;
  }
  taken.push({ left, top, right, bottom: top + tall });
  context.fillStyle = "rgb(6 16 24 / 74%)";
  context.fillRect(left, top, wide + 2 * room, tall);
  context.fillStyle = colourOf(shape.ink);
  context.textBaseline = "top";
  context.fillText(shape.text, left + room, top + 0.75 * room);
}

/** Units of a canvas: widths keep their look whatever the band's height, and stay readable. */
export function unitOf(size: Size, ratio: number): number {
  return Math.max(size.height / REFERENCE_PX, 0.8 * ratio);
}
