// The payback on a tape of years: where it most likely ends, and how far it could move.

import { draw } from "/make.js";
import { t } from "/words.js";

const WIDTH = 440;
const HEIGHT = 72;
const LEFT = 16;
const RIGHT = 58;
const BAND = [20, 36];

export function tape(spread, base, range) {
  const longest = Math.max(spread.high, spread.base) * 1.15;
  const years = Math.max(2, Math.min(40, Math.ceil(longest)));
  const step = years > 24 ? 5 : years > 12 ? 2 : 1;
  const at = (year) => LEFT + ((WIDTH - LEFT - RIGHT) * Math.max(0, Math.min(year, years))) / years;
  const svg = draw("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, class: "tape", role: "img", "aria-label": t("tape", { base, range }) });
  svg.append(draw("rect", { x: 2, y: BAND[0], width: WIDTH - 4, height: BAND[1], rx: 4, class: "tape-body" }));
  svg.append(draw("rect", {
    x: at(spread.low), y: BAND[0] + BAND[1] - 9, width: Math.max(3, at(spread.high) - at(spread.low)), height: 9, class: "tape-range",
  }));
  const quarter = years <= 6 ? 4 : 2;
  for (let i = 0; i <= years * quarter; i += 1) {
    const year = i / quarter;
    const whole = Number.isInteger(year);
    if (years > 12 && !whole) continue;
    svg.append(draw("line", { x1: at(year), x2: at(year), y1: BAND[0], y2: BAND[0] + (whole ? 12 : 6), class: "tape-tick" }));
    if (whole && year % step === 0) {
      svg.append(draw("text", { x: at(year), y: BAND[0] + 30, "text-anchor": "middle", class: "tape-number" }, String(year)));
    }
  }
  svg.append(draw("text", { x: WIDTH - 10, y: BAND[0] + 30, "text-anchor": "end", class: "tape-number" }, t("years")));
  // The pencil mark: above and below the tape, never through its numbers.
  const x = at(spread.base);
  svg.append(draw("path", { d: `M${x - 7} 4h14l-7 14z`, class: "tape-point" }));
  svg.append(draw("line", { x1: x, x2: x, y1: BAND[0] + BAND[1], y2: HEIGHT - 2, class: "tape-mark" }));
  return svg;
}
