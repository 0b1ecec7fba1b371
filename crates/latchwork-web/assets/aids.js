// When something is not right: three drawings for this fabric, at this row, at the end where the carriage stands. Pure:
// a piece (pages/piece.rs) and a place in it give drawings, as text, and the words that belong to them.
import { named, stands } from './counting.js';
// After these only the knitter knows what the counter reads.
export const ASKS = ['too-many', 'by-mistake'];

const ROWS = 6, H = 36;

// The rows just made, the newest first, back to where the counter was set: what it read after each, and what each bed
// did. A pass without yarn makes no row.
export function made(piece, at) {
  const rows = [];
  for (let k = at - 1; k >= 0 && rows.length < ROWS; k--) {
    const cue = piece.cues[k];
    if (rows.length && cue.c > rows[rows.length - 1].c) break;
    if (cue.w === undefined || cue.t === 2) continue;
    const set = piece.sets[cue.s];
    rows.push({ c: cue.c, s: cue.s, does: [0, 1].map((bed) => (set[bed] ? set[bed][cue.w] : 'slip')) });
  }
  return rows;
}
// How many rows high the loops of a bed are in the fabric of the newest row, where all of them are alike.
export function high(all, bed) {
  const rows = all.filter((r) => r.s === all[0].s), knits = rows.map((r, k) => (r.does[bed] === 'knit' ? k : -1)).filter((k) => k >= 0), gaps = knits.slice(1).map((k, n) => k - knits[n]);
  return gaps.length && gaps.every((g) => g === gaps[0]) ? gaps[0] : 0;
}
// The columns at an end, from left to right: where the loops of each lie, as rows from the top and how many rows high.
// The outermost one of a bed is drawn as the one that needs help.
export function columns(piece, at, bed = 0) {
  let edge = null;
  for (let k = Math.min(at, piece.cues.length - 1); k >= 0; k--) if (piece.cues[k].z !== undefined) { edge = piece.cues[k].z; break; }
  if (at === piece.cues.length) edge = null;
  const left = stands(piece, at) === 0, rows = made(piece, at), [first, main, ribber] = edge ? edge[left ? 0 : 1] : [0, '', ''];
  const column = (bed) => {
    const loops = [];
    rows.forEach((r, k) => { if (r.does[bed] === 'knit') loops.push({ row: k, high: 1 }); });
    loops.forEach((l, n) => { const older = loops[n + 1]; l.high = older ? older.row - l.row : Math.max(1, ROWS - l.row); });
    // A bed that has not knitted yet has the loops of its cast-on.
    return loops.length ? loops : [{ row: 0, high: ROWS }];
  };
  const kinds = [column(0), column(1)], all = [];
  for (let k = 0; k < main.length; k++) {
    if (main[k] === '|') all.push({ bed: 0, slot: first + k, k, loops: kinds[0] });
    if (ribber[k] === '|') all.push({ bed: 1, slot: first + k, k, loops: kinds[1] });
  }
  const of = all.filter((c) => c.bed === bed), shown = of.length ? of : all, hot = left ? shown[0] : shown[shown.length - 1];
  const did = (what) => Boolean(hot) && rows.some((r) => r.does[hot.bed] === what);
  return { all, hot, left, many: Math.max(main.length, 6), open: Boolean(hot && rows.length) && rows[0].does[hot.bed] === 'tuck', newest: rows.length ? rows[0].does : ['slip', 'slip'], tucked: did('tuck'), slipped: did('slip'), half: Boolean(edge && edge[2]), named: hot ? named(hot.slot) : '' };
}

const P = 47, x = (c, half) => 36 + c.k * P + (c.bed && half ? P / 2 : 0);
function loop(cx, y, fill, m, w, h) {
  const X = (v) => (cx + v * m).toFixed(1), Y = (v) => (y + v * h).toFixed(1);
  const d = `M${X(-11)} ${Y(1.45)}C${X(-4)} ${Y(1.35)} ${X(-4)} ${Y(0.9)} ${X(-6.5)} ${Y(0.45)}C${X(-10)} ${Y(-0.3)} ${X(10)} ${Y(-0.3)} ${X(6.5)} ${Y(0.45)}C${X(4)} ${Y(0.9)} ${X(4)} ${Y(1.35)} ${X(11)} ${Y(1.45)}`;
  return [['var(--tar)', w + 2.6], [fill, w]].map(([o, k]) => `<path d="${d}" fill="none" stroke="${o}" stroke-width="${k}" stroke-linecap="round"/>`).join('');
}
// A strand that lies loose, from the next column to the edge and back.
function strand(cx, y, way, hot) {
  const a = cx - way * 41, b = cx + way * 36, d = `M${a} ${y}C${b - way * 30} ${y - 4} ${b} ${y - 6} ${b} ${y + 7}S${b - way * 30} ${y + 17} ${a} ${y + 15}`;
  return [['var(--tar)', 9.6], [hot ? 'var(--oilskin)' : 'var(--tern-pale)', 7]].map(([o, w]) => `<path d="${d}" fill="none" stroke="${o}" stroke-width="${w}" stroke-linecap="round"/>`).join('');
}
const yarn = (d) => `<path d="${d}" fill="none" stroke="var(--tar)" stroke-width="9.6" stroke-linecap="round"/><path d="${d}" fill="none" stroke="var(--oilskin)" stroke-width="7" stroke-linecap="round"/>`;
// The latch tool: its hook at a place, its handle away from the work.
const tool = (cx, y, turn) => `<g transform="translate(${cx} ${y}) rotate(${turn})"><ellipse rx="5.5" ry="9" class="ink" fill="none" stroke-width="2.8"/><path d="M0 9V40" class="ink" stroke-width="3.4"/><path d="M0 40v54" class="ink" stroke-width="14"/></g>`;
const rail = (wide) => `<path d="M0 20H${wide}" class="ink" stroke-width="4.5" stroke-linecap="butt"/>`;

// The end of the work: `gone` rows are missing from the hot column, `fresh` says what is dyed, and `old` in which of
// the places the newest row is not made.
function cloth(c, { gone = 0, fresh = 'top', old = () => false, wide }) {
  const gap = c.all.filter((o) => o.bed === 0).reduce((least, o, n, mains) => (n ? Math.min(least, o.k - mains[n - 1].k) : least), 2);
  const m = gap > 1 ? 2.75 : 1.5, w = gap > 1 ? 11 : 8;
  let out = rail(wide);
  for (let k = 0; k < c.many; k++) {
    const in_work = c.all.some((o) => o.bed === 0 && o.k === k), px = 36 + k * P;
    out += in_work ? `<path class="ink" stroke-width="3.2" d="M${px} 4V62q0 8 7 6q5-2 3-8"/>` : `<path class="ink" stroke-width="3.2" d="M${px} 3v8"/>`;
  }
  const draw = (o) => {
    const px = x(o, c.half), hot = o === c.hot, missing = hot ? Math.max(gone, old(o) ? 1 : 0) : old(o) ? 1 : 0;
    const there = o.loops.filter((l) => l.row >= missing);
    // A tuck of the newest row lies over the loop before it.
    const arch = fresh === 'row' && !missing && c.newest[o.bed] === 'tuck' ? `<path d="M${px - 15} 72Q${px} 34 ${px + 15} 72" fill="none" stroke="var(--tar)" stroke-width="8.6"/><path d="M${px - 15} 72Q${px} 34 ${px + 15} 72" fill="none" stroke="var(--oilskin)" stroke-width="6"/>` : '';
    const drawn = (there.length ? there : o.loops.slice(-1)).toReversed().map((l, n, all) => {
      const newest = n === all.length - 1;
      // A loop with none above it any more is drawn up to its needle, unless it was dropped.
      const lift = newest && !(hot && gone) ? l.row : 0, high = l.high + lift, row = l.row - lift;
      const dyed = fresh === 'row' ? newest && l.row === 0 : hot && newest && fresh === 'top';
      const front = o.bed === 0 || (hot && fresh === 'top');
      return loop(px, (o.bed ? 50 : 56) + row * H, dyed ? 'var(--oilskin)' : o.bed ? 'color-mix(in srgb,var(--tern) 70%,var(--tar))' : 'var(--tern)', front ? m : 1.35, front ? w : 8, H * high);
    }).join('');
    return drawn + arch;
  };
  const behind = c.all.filter((o) => o.bed === 1 && o !== c.hot), before = c.all.filter((o) => o.bed === 0 && o !== c.hot);
  return out + [...behind, ...before, ...(c.hot ? [c.hot] : [])].map(draw).join('');
}
// A carriage whose bow points the way it goes.
const carriage = (cx, y, left) => `<path d="${left ? `M${cx - 62} ${y + 19}l24-19h86v38h-86z` : `M${cx + 62} ${y + 19}l-24-19h-86v38h86z`}" fill="var(--sheet)" class="ink" stroke-width="4"/>`;
const needle = (px, bend) => `<path class="ink" stroke-width="3.2" d="M${px} 4V40l${bend} 22q1 8 8 6q5-2 3-8"/>`;

// The drawings of an accident; `reads` is what the counter reads now. The carriage goes on from the end where it stands.
export function drawings(aid, c, reads) {
  const wide = 72 + (c.many - 1) * P, end = c.hot ? x(c.hot, c.half) : wide / 2, way = c.left ? -1 : 1, turn = c.left ? 46 : -46;
  const view = (inside) => `<svg class="draw" viewBox="0 0 ${wide} 196" preserveAspectRatio="xMidYMin slice" aria-hidden="true">${inside}</svg>`;
  // This many strands lie loose above the loop that hangs free; a loop of a tucking bed is two rows high.
  const rows = c.hot ? c.hot.loops.map((l) => l.row) : [0];
  const free = (loose) => {
    const row = loose ? rows.find((r) => r >= loose) ?? rows[rows.length - 1] : 0, strands = Array.from({ length: loose }, (_, k) => strand(end, 70 + k * 30, way)).join('');
    return view(cloth(c, { gone: loose, wide }) + strands + (loose === 0 && c.open ? strand(end, 40, way, true) : '') + tool(end, 58 + row * H, turn));
  };
  // The half where the carriage stands, and the other.
  const here = (o) => (c.left ? o.k < c.many / 2 : o.k >= c.many / 2), there = (o) => !here(o), middle = wide / 2;
  const wave = `M${middle - way * 20} 70q${13 * way} -22 ${26 * way} 0${`t${26 * way} 0`.repeat(3)}`;
  const counter = (n) => `<text x="${middle}" y="128" style="font-size:92px;text-anchor:middle;letter-spacing:.03em" fill="var(--tar)">${n}</text>`;
  const bed = (bends) => rail(wide) + bends.map((b, k) => needle(30 + k * 46, b)).join('');
  const side = (of) => (of ? 66 : wide - 66);
  switch (aid) {
    case 'dropped': case 'dropped-ribber': return [free(2), free(1), free(0)];
    case 'missed': return [
      view(cloth(c, { fresh: '', old: (o) => o === c.hot, wide }) + strand(end, 40, way, true)),
      view(cloth(c, { fresh: '', old: (o) => o === c.hot, wide }) + yarn(`M${end - way * 90} 58Q${end - way * 30} 44 ${end + 7} 64`)),
      view(cloth(c, { wide }))];
    case 'too-many': return [
      view(cloth(c, { fresh: 'row', wide }) + yarn(`M${end} 66Q${end + way * 40} 58 ${end + way * 44} 8`)),
      view(cloth(c, { fresh: 'row', old: here, wide }) + yarn(wave)),
      view(carriage(side(c.left), 96, !c.left) + `<path class="ink" stroke-width="4" d="M${wide / 2 + way * 40} 60h${-way * 80}m${way * 14} -10l${-way * 14} 10l${way * 14} 10"/>`)];
    case 'jammed': return [
      view(bed([0, 0, 9, 16, -7, 0]) + carriage(wide / 2, 60, !c.left)),
      view(bed([0, 0, 0, 0, 0, 0]) + carriage(wide / 2, 134, !c.left)),
      view(cloth(c, { fresh: 'row', old: there, wide }) + yarn(`M${end} 66Q${end + way * 40} 58 ${end + way * 44} 8`))];
    case 'ran-out': return [
      view(cloth(c, { fresh: 'row', old: there, wide })),
      view(cloth(c, { fresh: '', wide }) + yarn(`M${end} 92Q${end + way * 26} 100 ${end + way * 20} 160`) + yarn(`M${end + way * 2} 70Q${end + way * 38} 60 ${end + way * 34} 6`)),
      view(bed([0, 0, 0, 0, 0, 0]) + carriage(side(c.left), 96, !c.left))];
    case 'by-mistake': return [view(counter(String(reads).padStart(3, '0'))), view(cloth(c, { fresh: 'row', wide })), view(`<path class="ink" stroke-width="4" d="M20 40H${wide - 20}V156H20Z" fill="none"/>${counter('?')}`)];
    default: return [];
  }
}
// The last rows as they lie in the cloth, each with what the counter read after it.
export function readRows(c, rows) {
  const wide = 72 + (c.many - 1) * P + 150;
  const lines = rows.map((r, k) => `<path d="M6 ${98 + k * H}H${wide - 84}" stroke="var(--tar)" stroke-width="1.2" stroke-dasharray="2 5" fill="none"/><text x="${wide - 76}" y="${106 + k * H - H / 3}" style="font-size:30px" fill="var(--tar)">${String(r.c).padStart(3, '0')}</text>`).join('');
  return `<svg class="draw" viewBox="0 0 ${wide} 286" preserveAspectRatio="xMidYMin meet" aria-hidden="true">${cloth(c, { fresh: 'row', wide: wide - 84 })}${lines}</svg>`;
}
