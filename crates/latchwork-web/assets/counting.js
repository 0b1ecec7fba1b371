// What a tablet does by itself with the cues of a piece, whether or not the workshop answers. Pure: no page, no clock,
// no network. A piece is { plan, cues }; a cue has c, what the counter reads after it, and is plain where nothing is to
// be done or looked at before it (see pages/piece.rs).
export const ITEMS = 7;

// The workshop sends only how each cue differs from what follows from the one before: a pass is one row more, the other
// way, set as before. A cue with h is by hand.
export function unfold(piece) {
  let c = 0, stood = piece.begins, p, s, r = [0, 0];
  for (const cue of piece.cues) {
    const hand = cue.h !== undefined;
    cue.c ??= c + (hand ? 0 : 1); cue.p ??= p; cue.s ??= s;
    if (hand) stood = cue.a ??= stood;
    else { stood = cue.w ??= 1 - stood; r = cue.r ??= [r[0] + 1, r[1]]; }
    ({ c, p, s } = cue);
  }
  return piece;
}

// How the tablet begins: from what the workshop says, and from what this device kept of an earlier time.
export function begin(piece, server, kept) {
  const s = { seq: server.seq, at: server.position, paused: server.paused, queue: [], ticked: null, why: '', apart: null, refused: '', stale: false };
  if (kept && kept.plan === piece.plan) {
    // A page out of this device's own store may be older than what the device has seen.
    if (kept.seq > s.seq) Object.assign(s, { seq: kept.seq, at: kept.at, paused: kept.paused });
    s.queue = kept.queue;
    s.apart = kept.apart;
  } else if (kept && kept.queue.length) {
    // Counted by cues that are no longer those of the piece: only the counter's reading still means something.
    s.apart = { ours: null, reading: kept.reading, theirs: s.at, seq: s.seq };
  }
  if (position(s) > 0) jump(s, 'joined');
  return s;
}
export const keep = (s, piece) => ({ plan: piece.plan, seq: s.seq, at: s.at, paused: s.paused, queue: s.queue, apart: s.apart, reading: reads(piece, position(s)) });

export const position = (s) => (s.queue.length ? s.queue[s.queue.length - 1].to : s.at);
export const paused = (s) => s.queue.reduce((p, e) => (e.kind === 'pause' ? true : ['resume', 'made', 'begin'].includes(e.kind) ? false : p), s.paused);
export const named = (slot) => (slot < 0 ? 'L' + -slot : 'R' + (slot + 1));
// Where the carriages stand before a cue: 0 at the left, 1 at the right.
export const stands = (piece, at) => (at > 0 ? (piece.cues[at - 1].w ?? piece.cues[at - 1].a) : piece.begins);
// How often the piece was knitted to its end: what the workshop knows, and what waits here.
export function finished(s, piece, known) {
  const end = piece.cues.length;
  let n = known, was = s.at;
  for (const e of s.queue) {
    if (e.to === end && was < end) n++;
    if (e.to < end && was === end && e.kind !== 'begin') n--;
    was = e.to;
  }
  return n;
}
// What the counter reads before a cue.
export const reads = (piece, at) => (at > 0 ? piece.cues[at - 1].c : 0);
export const plain = (cue) => cue !== undefined && cue.w !== undefined && !cue.x && !cue.q;
export const byHand = (cue) => cue.w === undefined || cue.x !== undefined;

// How many plain passes follow one another from a cue.
export function run(piece, at) {
  let n = 0;
  while (plain(piece.cues[at + n])) n++;
  return n;
}
// The next cue for the hands after one, and how many rows there are to knit until then.
export function next(piece, at) {
  let rows = 0, was = reads(piece, at);
  for (let k = at; k < piece.cues.length; k++) {
    const cue = piece.cues[k];
    if (k > at && byHand(cue)) return { at: k, rows, reads: reads(piece, k) };
    if (cue.w !== undefined && cue.c !== was) rows++;
    was = cue.c;
  }
  return null;
}
// The cues by which loops are moved or needles come and go, from one cue up to another; and those before which something
// is set or marked.
export const handled = (piece, from, to) => piece.cues.slice(from, to).map((c, k) => ({ c, at: from + k })).filter(({ c }) => c.h !== undefined && c.n > 0);
export const asked = (piece, from, to) => piece.cues.slice(from, to).map((c, k) => ({ c, at: from + k })).filter(({ c }) => (c.h !== undefined ? c.n > 0 : c.x !== undefined));
// The places, in order, where a piece can be when the counter has this reading. One reading may stand at several: the
// first of each run of cues that leaves it unchanged; or, if the counter has this reading now, the present place.
export function places(piece, reading, at) {
  const found = [];
  for (let k = 0; k <= piece.cues.length; k++) {
    if (reads(piece, k) !== reading) continue;
    let end = k;
    while (end < piece.cues.length && reads(piece, end + 1) === reading) end++;
    found.push(at >= k && at <= end ? at : k);
    k = end;
  }
  return found;
}

function jump(s, why) { s.ticked = 0; s.why = why; }
// Something went wrong at the machine: everything that must be right is checked before counting goes on.
export function settle(s, piece) { if (position(s) > 0 && position(s) < piece.cues.length && !paused(s)) jump(s, 'mended'); }

// Something that the knitter does. `to` is where that leads, for kinds that a reading alone does not settle. False
// where it cannot be done.
export function act(s, piece, event) {
  const at = position(s), { kind, n, to } = event;
  const lead = {
    made: () => { const many = n || 1; return at + many <= piece.cues.length && (many === 1 || run(piece, at) >= many) ? at + many : null; },
    back: () => (at > 0 && !paused(s) ? at - 1 : null),
    ripped: () => (to !== undefined && to <= at ? to : null),
    counter: () => to ?? null,
    settled: () => to,
    begin: () => 0,
    pause: () => at, resume: () => at, note: () => at,
  }[kind]();
  s.refused = '';
  if (lead === null) { s.refused = kind; return false; }
  if (kind === 'made' && (s.stale || s.ticked !== null || s.apart || paused(s))) return false;
  s.queue.push({ key: event.key, kind, n: n === undefined ? '' : String(n), note: event.note || '', at: event.at || 0, to: lead });
  if (['ripped', 'counter', 'begin', 'settled'].includes(kind)) jump(s, kind);
  return true;
}
// One item of the list is right; or all are.
export function tick(s, all) {
  if (s.ticked === null) return;
  s.ticked = all ? ITEMS : s.ticked + 1;
  if (s.ticked >= ITEMS) s.ticked = null;
}

const adopt = (s, server) => { s.seq = server.seq; s.at = server.position; s.paused = server.paused; };
const words = (s) => s.queue.filter((e) => e.kind === 'note');
function part(s, server) {
  const ours = position(s), notes = words(s);
  adopt(s, server);
  s.queue = notes.map((e) => ({ ...e, to: s.at }));
  if (ours === s.at) return;
  s.apart = { ours, theirs: s.at, seq: s.seq };
}

// What the workshop answered to the first of the queue.
export function answered(s, piece, status, server) {
  if (status === 412 || status === 421) { s.stale = status; return; }
  if (status === 200) {
    const first = s.queue.shift();
    adopt(s, server);
    // Another device has counted on since. What waits here does not follow from that, and the workshop will say so.
    if (server.position !== first.to && !s.queue.length) jump(s, 'elsewhere');
  } else if (status === 409) {
    part(s, server);
  } else {
    s.refused = s.queue[0].kind;
    const was = position(s);
    s.queue = words(s).slice(s.queue[0].kind === 'note' ? 1 : 0);
    adopt(s, server);
    if (s.at !== was) jump(s, 'elsewhere');
  }
}
// How the workshop says that things stand, when nothing of ours waits.
export function heard(s, piece, server) {
  if (server.plan !== piece.plan) { s.stale = 412; return; }
  if (s.queue.length) return;
  const was = s.at, same = s.seq === server.seq;
  if (s.apart) { adopt(s, server); s.apart = s.apart.ours === s.at ? null : { ...s.apart, theirs: s.at, seq: s.seq }; return; }
  adopt(s, server);
  // One that counts along with another device sees what that one does.
  if (!same && s.at !== was && s.at !== was + 1) jump(s, 'elsewhere');
}
// Two counts, and the knitter says which is true.
export function choose(s, piece, ours, event) {
  const apart = s.apart;
  s.apart = null;
  if (ours && apart.ours !== null) act(s, piece, { ...event, kind: 'settled', to: apart.ours });
  else jump(s, 'settled');
}
