/**
 * How a clip's picture lies in its band: turned left to right or not, enlarged, moved.
 *
 * A view names the point of the picture in the middle of the band, in shares of the picture, and
 * how large it is: zoom 1 shows the whole height. So a view means the same in a band of any size.
 */
import type { Point } from "./vector";

export interface View {
  readonly zoom: number;
  /** Share of the picture's width, 0 left to 1 right, as the clip shows it. */
  readonly x: number;
  /** Share of the picture's height, 0 top to 1 bottom. */
  readonly y: number;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

export const WHOLE: View = { zoom: 1, x: 0.5, y: 0.5 };
export const LEAST_ZOOM = 0.25;
export const MOST_ZOOM = 16;

/** Band pixels from clip pixels: `x · across + right`, `y · down + below`. */
export interface Lie {
  readonly across: number;
  readonly right: number;
  readonly down: number;
  readonly below: number;
}

export function lieOf(view: View, clip: Size, band: Size, mirrored: boolean): Lie {
  const scale = (view.zoom * band.height) / clip.height;
  const across = mirrored ? -scale : scale;
  return {
    across,
    right: band.width / 2 - across * view.x * clip.width,
    down: scale,
    below: band.height / 2 - scale * view.y * clip.height,
  };
}

export function toBand(lie: Lie, at: Point): Point {
  return [at[0] * lie.across + lie.right, at[1] * lie.down + lie.below];
}

export function toClip(lie: Lie, at: Point): Point {
  return [(at[0] - lie.right) / lie.across, (at[1] - lie.below) / lie.down];
}

/** The view enlarged by a factor, while what lies under `at` (band pixels) stays there. */
export function zoomed(
  view: View,
  by: number,
  at: Point,
  place: { clip: Size; band: Size; mirrored: boolean },
): View {
  const zoom = Math.min(Math.max(view.zoom * by, LEAST_ZOOM), MOST_ZOOM);
  const under = toClip(lieOf(view, place.clip, place.band, place.mirrored), at);
  const wide = lieOf({ ...view, zoom }, place.clip, place.band, place.mirrored);
  return held({
    zoom,
    x: (under[0] + (place.band.width / 2 - at[0]) / wide.across) / place.clip.width,
    y: (under[1] + (place.band.height / 2 - at[1]) / wide.down) / place.clip.height,
  });
}

/** The view moved so that the picture follows a hand by so many band pixels. */
export function panned(
  view: View,
  by: Point,
  place: { clip: Size; band: Size; mirrored: boolean },
): View {
  const lie = lieOf(view, place.clip, place.band, place.mirrored);
  return held({
    zoom: view.zoom,
    x: view.x - by[0] / lie.across / place.clip.width,
    y: view.y - by[1] / lie.down / place.clip.height,
  });
}

/** The middle of the band stays within the picture. */
export function held(view: View): View {
  const share = (value: number): number => Math.min(Math.max(value, 0), 1);
  const zoom = Math.min(Math.max(view.zoom, LEAST_ZOOM), MOST_ZOOM);
  return { zoom, x: share(view.x), y: share(view.y) };
}

/** A view that shows a box of the picture (clip pixels) with a little room around it. */
export function viewOn(box: { low: Point; high: Point }, clip: Size, band: Size): View {
  const wide = Math.max(box.high[0] - box.low[0], 1);
  const tall = Math.max(box.high[1] - box.low[1], 1);
  const scale = Math.min(band.width / wide, band.height / tall) / ROOM;
  return held({
    zoom: (scale * clip.height) / band.height,
    x: (box.low[0] + box.high[0]) / 2 / clip.width,
    y: (box.low[1] + box.high[1]) / 2 / clip.height,
  });
}

const ROOM = 1.08;
