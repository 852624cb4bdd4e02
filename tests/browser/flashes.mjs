// Measures what the vehicle's canvas shows: how often anything on it begins to brighten in a second.
import { expect } from "./fixture.mjs";
import { UNSAFE } from "./outcome.mjs";

/** The longest time between two recorded frames, in milliseconds, at which their times still tell when they were seen: what the gate keeps to spare in a second. */
const MOST_BETWEEN_MS = 100;

/** What the vehicle's canvas looks like now. */
export const picture = (page) => page.locator("#heads canvas").evaluate((canvas) => canvas.toDataURL());

/**
 * Records the vehicle's canvas before every repaint for some seconds, as relative luminance in a
 * grid of cells (WCAG 2.2, "relative luminance").
 */
export async function record(page, seconds) {
  return page.evaluate(
    (duration) =>
      new Promise((resolve) => {
        const source = document.querySelector("#heads canvas");
        const [columns, rows] = [36, 60];
        const small = new OffscreenCanvas(columns, rows);
        const context = small.getContext("2d", { willReadFrequently: true });
        const linear = (value) => {
          const share = value / 255;
          return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
        };
        const frames = [];
        const begin = performance.now();
        const step = () => {
          const now = performance.now();
          context.fillStyle = "#000";
          context.fillRect(0, 0, columns, rows);
          context.drawImage(source, 0, 0, columns, rows);
          const { data } = context.getImageData(0, 0, columns, rows);
          const cells = [];
          for (let at = 0; at < data.length; at += 4) {
            cells.push(0.2126 * linear(data[at]) + 0.7152 * linear(data[at + 1]) + 0.0722 * linear(data[at + 2]));
          }
          frames.push({ ms: now, cells });
          if (now - begin < duration * 1000) requestAnimationFrame(step);
          else resolve(frames);
        };
        requestAnimationFrame(step);
      }),
    seconds,
  );
}

/**
 * Instants at which a course of luminance begins to rise by a tenth of its own largest value: the
 * leading edges of flashes (the 10 % of WCAG 2.2, "general flash and red flash thresholds", taken
 * of the course's own peak, which is stricter).
 */
function rises(frames, value) {
  const values = frames.map(value);
  const peak = Math.max(...values);
  const least = Math.min(...values);
  // What never changes by a hundredth of full white is no flash anyone could see.
  if (peak - least < 0.01) return [];
  const step = 0.1 * peak;
  const found = [];
  let extreme = values[0];
  let isRising = false;
  values.forEach((now, index) => {
    if (isRising) {
      if (now > extreme) extreme = now;
      else if (extreme - now >= step) {
        isRising = false;
        extreme = now;
      }
    } else if (now < extreme) extreme = now;
    else if (now - extreme >= step) {
      found.push(frames[index].ms);
      isRising = true;
      extreme = now;
    }
  });
  return found;
}

/** Most instants in any half-open second. */
function worstSecond(instants) {
  return Math.max(0, ...instants.map((from) => instants.filter((at) => at >= from && at < from + 1000).length));
}

/** The most flashes of any cell, of the whole picture, and of all distinct onsets together. */
export function count(frames) {
  const cells = frames[0].cells.length;
  const mean = ({ cells: values }) => values.reduce((sum, value) => sum + value, 0) / values.length;
  let worst = worstSecond(rises(frames, mean));
  const onsets = [];
  for (let cell = 0; cell < cells; cell += 1) {
    const found = rises(frames, ({ cells: values }) => values[cell]);
    worst = Math.max(worst, worstSecond(found));
    onsets.push(...found);
  }
  // Cells that rise in the same or the next frame rise together.
  onsets.sort((one, other) => one - other);
  const distinct = onsets.filter((at, index) => index === 0 || at - onsets[index - 1] > 50);
  const longest_ms = Math.max(0, ...frames.slice(1).map(({ ms }, index) => ms - frames[index].ms));
  return { worst, distinct: worstSecond(distinct), n_frames: frames.length, n_onsets: onsets.length, longest_ms };
}

/**
 * Holds a recording to three flashes in any second (WCAG 2.2, 2.3.1), and to having seen some. Of a
 * recording in which the machine stood still nobody knows when its frames were seen: it is to be
 * made again, but never passes.
 */
export function expectHarmless(counted) {
  expect(counted.n_onsets, "something flashed").toBeGreaterThan(0);
  const words = `${counted.longest_ms > MOST_BETWEEN_MS ? "the machine stood still" : UNSAFE} ${JSON.stringify(counted)}`;
  expect(counted.worst, words).toBeLessThanOrEqual(3);
  expect(counted.distinct, words).toBeLessThanOrEqual(3);
}

/**
 * How large the part of the canvas is whose relative luminance changes by a tenth of full white or
 * more (WCAG 2.2, "general flash and red flash thresholds") within some seconds, in CSS pixels squared.
 */
export async function flashingArea(page, seconds) {
  return page.evaluate(
    (duration) =>
      new Promise((resolve) => {
        const source = document.querySelector("#heads canvas");
        const copy = new OffscreenCanvas(source.width, source.height);
        const context = copy.getContext("2d", { willReadFrequently: true });
        const linear = Float32Array.from({ length: 256 }, (_, value) => {
          const share = value / 255;
          return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
        });
        const least = new Float32Array(source.width * source.height).fill(1);
        const most = new Float32Array(source.width * source.height);
        const begin = performance.now();
        const step = () => {
          context.fillStyle = "#000";
          context.fillRect(0, 0, copy.width, copy.height);
          context.drawImage(source, 0, 0);
          const { data } = context.getImageData(0, 0, copy.width, copy.height);
          for (let pixel = 0; pixel < least.length; pixel += 1) {
            const at = 4 * pixel;
            const now = 0.2126 * linear[data[at]] + 0.7152 * linear[data[at + 1]] + 0.0722 * linear[data[at + 2]];
            if (now < least[pixel]) least[pixel] = now;
            if (now > most[pixel]) most[pixel] = now;
          }
          if (performance.now() - begin < duration * 1000) requestAnimationFrame(step);
          else {
            const n = least.reduce((sum, value, pixel) => sum + (most[pixel] - value >= 0.1 ? 1 : 0), 0);
            resolve(n / window.devicePixelRatio ** 2);
          }
        };
        requestAnimationFrame(step);
      }),
    seconds,
  );
}
