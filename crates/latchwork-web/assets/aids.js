// When something is not right: three drawings for this fabric, at this row, at the end where the carriage stands. Pure:
// out of the piece (pages/piece.rs) and a place in it come drawings, as text, and which words belong to them.
// After these only the knitter knows what the counter reads.
export const ASKS = ['too-many', 'by-mistake'];

const ROWS = 6, H = 36, name = (slot) => (slot < 0 ? 'L' + -slot : 'R' + (slot + 1));

// The passes just made, the newest first: what the counter read after each, and what each bed did.
export function made(piece, at) {
  const rows = [];
  for (let k = at - 1; k >= 0 && rows.length < ROWS; k--) {
    const cue = piece.cues[k];
    if (cue.w === undefined) continue;
    const set = piece.sets[cue.s];
    rows.push({ c: cue.c, does: [0, 1].map((bed) => (set[bed] ? set[bed][cue.w] : 'slip')) });
  }
  return rows;
}
// The columns at an end, from left to right: where the loops of each lie, as rows from the top and how many rows high.
export function columns(piece, at, word) {
  let edge = null;
  for (let k = at; k >= 0 && !edge; k--) edge = (k < piece.cues.length && piece.cues[k].z) || null;
  const left = (at > 0 ? (piece.cues[at - 1].w ?? piece.cues[at - 1].a) : piece.begins) === 0;
  const rows = made(piece, at).map((r) => r.does.map((d) => word(d)));
  const [first, main, ribber] = edge ? edge[left ? 0 : 1] : [0, '', ''];
  const column = (bed) => {
    const loops = [];
    rows.forEach((r, k) => { if (r[bed] === 'knit') loops.push({ row: k, high: 1 }); });
    loops.forEach((l, n) => { const older = loops[n + 1]; l.high = older ? older.row - l.row : Math.max(1, ROWS - l.row); });
    // A bed that has not knitted yet has the loops of its cast-on.
    return loops.length ? loops : [{ row: 0, high: ROWS }];
  };
  const kinds = [column(0), column(1)], all = [];
  for (let k = 0; k < main.length; k++) {
    if (main[k] === '|') all.push({ bed: 0, slot: first + k, k, loops: kinds[0] });
    if (ribber[k] === '|') all.push({ bed: 1, slot: first + k, k, loops: kinds[1] });
  }
  const front = all.filter((c) => c.bed === 0), shown = front.length ? front : all;
  const hot = left ? shown[0] : shown[shown.length - 1];
  const tucked = hot ? rows.some((r) => r[hot.bed] === 'tuck') : false, slipped = hot ? rows.some((r) => r[hot.bed] === 'slip') : false;
  return { all, hot, left, many: main.length, tucked, slipped, half: Boolean(edge && edge[2]), named: hot ? name(hot.slot) : '' };
}

const P = 47, x = (c, half) => 36 + c.k * P + (c.bed && half ? P / 2 : 0);
function loop(cx, y, fill, m, w, h) {
  const X = (v) => (cx + v * m).toFixed(1), Y = (v) => (y + v * h).toFixed(1);
  const d = `M${X(-11)} ${Y(1.45)}C${X(-4)} ${Y(1.35)} ${X(-4)} ${Y(0.9)} ${X(-6.5)} ${Y(0.45)}C${X(-10)} ${Y(-0.3)} ${X(10)} ${Y(-0.3)} ${X(6.5)} ${Y(0.45)}C${X(4)} ${Y(0.9)} ${X(4)} ${Y(1.35)} ${X(11)} ${Y(1.45)}`;
  return [['var(--tar)', w + 2.6], [fill, w]].map(([o, k]) => `<path d="${d}" fill="none" stroke="${o}" stroke-width="${k}" stroke-linecap="round"/>`).join('');
}
// A strand that lies loose, from the column beside to the edge and back.
function strand(cx, y, way, hot) {
  const a = cx - way * 41, b = cx + way * 36, d = `M${a} ${y}C${b - way * 30} ${y - 4} ${b} ${y - 6} ${b} ${y + 7}S${b - way * 30} ${y + 17} ${a} ${y + 15}`;
  return [['var(--tar)', 9.6], [hot ? 'var(--oilskin)' : 'var(--tern-pale)', 7]].map(([o, w]) => `<path d="${d}" fill="none" stroke="${o}" stroke-width="${w}" stroke-linecap="round"/>`).join('');
}
const yarn = (d) => `<path d="${d}" fill="none" stroke="var(--tar)" stroke-width="9.6" stroke-linecap="round"/><path d="${d}" fill="none" stroke="var(--oilskin)" stroke-width="7" stroke-linecap="round"/>`;
// The latch tool: its hook at a place, its handle away from the work.
const tool = (cx, y, turn) => `<g transform="translate(${cx} ${y}) rotate(${turn})"><ellipse rx="5.5" ry="9" class="ink" fill="none" stroke-width="2.8"/><path d="M0 9V40" class="ink" stroke-width="3.4"/><path d="M0 40v54" class="ink" stroke-width="14"/></g>`;
const rail = (wide) => `<path d="M0 20H${wide}" class="ink" stroke-width="4.5" stroke-linecap="butt"/>`;

// The end of the work: `gone` rows are missing from the hot column, `fresh` says what is dyed.
function cloth(c, { gone = 0, fresh = 'top', until = Infinity, wide }) {
  const gap = c.all.filter((o) => o.bed === 0).reduce((least, o, n, mains) => (n ? Math.min(least, o.k - mains[n - 1].k) : least), 2);
  const m = gap > 1 ? 2.75 : 1.5, w = gap > 1 ? 11 : 8;
  let out = rail(wide);
  for (let k = 0; k < c.many; k++) {
    const in_work = c.all.some((o) => o.bed === 0 && o.k === k), px = 36 + k * P;
    out += in_work ? `<path class="ink" stroke-width="3.2" d="M${px} 4V62q0 8 7 6q5-2 3-8"/>` : `<path class="ink" stroke-width="3.2" d="M${px} 3v8"/>`;
  }
  const draw = (o) => {
    const px = x(o, c.half), hot = o === c.hot;
    let most = o.loops;
    if (hot && gone) most = o.loops.filter((l) => l.row >= gone);
    if (o.k > until) most = most.map((l) => ({ ...l })).filter((l) => l.row > 0);
    return [...most].reverse().map((l, n, all) => {
      const newest = n === all.length - 1;
      // What has no loop above it any more is drawn up to its needle.
      const lift = newest && !(hot && gone) ? l.row : 0, high = l.high + lift, row = l.row - lift;
      const dyed = fresh === 'row' ? newest && l.row === 0 : hot && newest && fresh === 'top';
      return loop(px, (o.bed ? 50 : 56) + row * H, dyed ? 'var(--oilskin)' : o.bed ? 'color-mix(in srgb,var(--tern) 70%,var(--tar))' : 'var(--tern)', o.bed ? 1.35 : m, o.bed ? 8 : w, H * high);
    }).join('');
  };
  return out + c.all.filter((o) => o.bed === 1).map(draw).join('') + c.all.filter((o) => o.bed === 0).map(draw).join('');
}
const carriage = (cx, y, left) => `<path d="${left ? `M${cx - 62} ${y + 19}l24-19h86v38h-86z` : `M${cx + 62} ${y + 19}l-24-19h-86v38h86z`}" fill="var(--sheet)" class="ink" stroke-width="4"/>`;
const needle = (px, bend) => `<path class="ink" stroke-width="3.2" d="M${px} 4V40l${bend} 22q1 8 8 6q5-2 3-8"/>`;

// The drawings of an accident, each the inside of a picture so wide; `reads` is what the counter reads now.
export function drawings(aid, c, reads) {
  const wide = 72 + (c.many - 1) * P, end = c.hot ? x(c.hot, c.half) : wide / 2, way = c.left ? -1 : 1, turn = c.left ? 46 : -46;
  const view = (inside) => `<svg class="draw" viewBox="0 0 ${wide} 196" preserveAspectRatio="xMidYMin slice" aria-hidden="true">${inside}</svg>`;
  // A column of a tucking bed has fewer loops than rows: what hangs free is the second of those that are there.
  const rows = c.hot ? [...c.hot.loops].map((l) => l.row) : [0], g = (n) => rows[Math.min(n, rows.length - 1)] || 0;
  const free = (n) => {
    const gone = g(n), strands = Array.from({ length: Math.min(gone, 3) }, (_, k) => strand(end, 70 + k * 30, way)).join('');
    return view(cloth(c, { gone, wide }) + (n ? strands : '') + tool(end, 58 + gone * H, turn));
  };
  const counter = (n) => `<text x="${wide / 2}" y="128" style="font-size:104px;text-anchor:middle;letter-spacing:.03em" fill="var(--tar)">${String(Math.max(0, n)).padStart(3, '0')}</text>`;
  const bed = (bends) => rail(wide) + bends.map((b, k) => needle(30 + k * 38, b)).join('');
  switch (aid) {
    case 'dropped': return [free(2), free(1), free(0)];
    case 'missed': return [
      view(cloth(c, { gone: 0, fresh: 'top', wide }) + strand(end, 40, way, false)),
      view(cloth(c, { fresh: '', wide }) + yarn(`M${end - way * 90} 58Q${end - way * 30} 44 ${end + 7} 64`) + tool(end, 66, turn)),
      view(cloth(c, { fresh: 'top', wide }))];
    case 'too-many': return [
      view(cloth(c, { fresh: 'row', wide })),
      view(cloth(c, { fresh: 'row', until: c.many / 2, wide }) + yarn(`M${36 + (c.many / 2) * P} 70q14 -22 26 0t26 0t26 0t26 0`)),
      view(counter(reads))];
    case 'jammed': return [
      view(bed([0, 0, 9, 16, -7, 0]) + carriage(wide / 2, 60, c.left)),
      view(bed([0, 0, 9, 16, -7, 0]) + carriage(wide / 2, 128, c.left) + `<path class="ink" stroke-width="4" d="M${wide / 2} 116v-26m-9 10l9-10 9 10"/>`),
      view(bed([0, 0, 0, 0, 0, 0]) + carriage(c.left ? wide - 66 : 66, 128, c.left))];
    case 'ran-out': return [
      view(cloth(c, { fresh: 'row', until: c.many / 2 - 1, wide })),
      view(cloth(c, { fresh: '', wide }) + yarn(`M${end} 92Q${end + way * 26} 100 ${end + way * 20} 160`) + yarn(`M${end + way * 2} 70Q${end + way * 38} 60 ${end + way * 34} 6`)),
      view(cloth(c, { fresh: 'row', wide }))];
    case 'by-mistake': return [view(counter(reads)), view(cloth(c, { fresh: 'row', wide })), view(`<path class="ink" stroke-width="4" d="M20 40H${wide - 20}V156H20Z" fill="none"/>${counter(reads)}`)];
    default: return [];
  }
}
// The last rows as they lie in the cloth, each with what the counter read after it.
export function readRows(c, rows) {
  const wide = 72 + (c.many - 1) * P + 150;
  const lines = rows.map((r, k) => `<path d="M6 ${98 + k * H}H${wide - 84}" stroke="var(--tar)" stroke-width="1.2" stroke-dasharray="2 5" fill="none"/><text x="${wide - 76}" y="${106 + k * H - H / 3}" style="font-size:30px" fill="var(--tar)">${String(r.c).padStart(3, '0')}</text>`).join('');
  return `<svg class="draw" viewBox="0 0 ${wide} 286" preserveAspectRatio="xMidYMin meet" aria-hidden="true">${cloth(c, { fresh: 'row', wide: wide - 84 })}${lines}</svg>`;
}
