// What the tablet does by itself, without a browser: node --test js/counting.test.mjs, in tests/. Two tablets and a workshop go
// through random histories (lost answers, repeats, restarts, time apart) and are held against what was really done there.
import test from 'node:test';
import assert from 'node:assert/strict';
import { ITEMS, act, answered, begin, choose, finished, heard, keep, next, paused, places, position, reads, run, tick, unfold } from '../../crates/latchwork-web/assets/counting.js';
import { columns, drawings, high, made } from '../../crates/latchwork-web/assets/aids.js';

// A cast-on of four passes, the counter set back, twenty passes, weights, ten more.
const pass = (c, more) => ({ w: c % 2, c, ...more });
const piece = (() => {
  const cues = [{ h: [0], c: 0 }, pass(1, { x: [] }), { h: [1], c: 1 }, pass(2, { x: [] }), pass(3), pass(4), { h: [2], c: 0 }];
  cues.push(pass(1, { x: [] }));
  for (let c = 2; c <= 20; c++) cues.push(pass(c));
  cues.push({ h: [3], c: 20 });
  for (let c = 21; c <= 30; c++) cues.push(pass(c));
  return { plan: 'one', cues };
})();
const server = (over) => ({ seq: 0, position: 0, paused: false, plan: 'one', ...over });
let keys = 0;
const did = (s, kind, more) => act(s, piece, { key: `k${keys++}`, kind, at: 0, ...more });

test('what is not told is as the cue before lets expect', () => {
  const told = { begins: 1, cues: [{ h: [0], p: 0 }, { s: 0, r: [1, 2] }, {}, { h: [1], c: 0 }, { p: 1, r: [1, 3] }, { w: 0 }, {}] };
  const { cues } = unfold(told);
  assert.deepEqual(cues.map((c) => c.c), [0, 1, 2, 0, 1, 2, 3]);
  assert.deepEqual(cues.map((c) => c.w ?? `by hand at ${c.a}`), ['by hand at 1', 0, 1, 'by hand at 1', 0, 0, 1], 'the carriage came back without yarn once');
  assert.deepEqual(cues.map((c) => c.p), [0, 0, 0, 0, 1, 1, 1]);
  assert.deepEqual(cues.map((c) => c.s), [undefined, 0, 0, 0, 0, 0, 0]);
  assert.deepEqual(cues.map((c) => c.r), [undefined, [1, 2], [2, 2], undefined, [1, 3], [2, 3], [3, 3]]);
});
test('rows are read back to where the counter was set, and a pass without yarn is none', () => {
  const bed = ['knit', 'knit', false, '3'], p = unfold({ begins: 1, sets: [[bed, null]], cues: [{ h: [0], s: 0 }, {}, {}, { h: [1], c: 0 }, {}, { t: 2 }, {}] });
  assert.deepEqual(made(p, 7).map((r) => r.c), [3, 1]);
  assert.deepEqual(made(p, 3).map((r) => r.c), [2, 1]);
});
test('how often a piece was knitted to its end', () => {
  const small = { plan: 'one', cues: [pass(1), pass(2)] }, s = begin(small, server());
  const done = () => finished(s, small, 0);
  const deed = (kind) => act(s, small, { key: `k${keys++}`, kind, at: 0 });
  deed('made'); assert.equal(done(), 0);
  deed('made'); assert.equal(done(), 1);
  deed('back'); assert.equal(done(), 0, 'stepped back from the end');
  deed('made'); deed('begin'); assert.equal(done(), 1, 'begun again');
  tick(s, true); deed('made'); deed('made'); assert.equal(done(), 2);
});
// Half cardigan on six needles, the ribber tucking to the left: its loops are two rows high.
test('help is drawn from the rows that were made', () => {
  const bed = (l, r) => [l, r, false, '3'], half = {
    begins: 1, sets: [[bed('knit', 'knit'), bed('tuck', 'knit')]],
    cues: [{ h: [0], s: 0, z: [[-4, '.|.|.|', '..|.|.', false], [-2, '|.|.|.', '.|.|..', false]] }, ...Array.from({ length: 9 }, () => ({ s: 0 }))],
  };
  unfold(half);
  const seen = (at, bed) => columns(half, at, bed);
  assert.deepEqual(made(half, 9).map((r) => [r.c, ...r.does]).slice(0, 3), [[8, 'knit', 'knit'], [7, 'knit', 'tuck'], [6, 'knit', 'knit']]);
  const right = seen(9), left = seen(8);
  assert.equal(right.left, false); assert.equal(left.left, true);
  assert.equal(right.named, 'R3', 'the outermost needle at the end where the carriage stands');
  assert.equal(left.named, 'L3');
  const [main, ribber] = [0, 1].map((b) => right.all.find((c) => c.bed === b).loops);
  assert.deepEqual(main.map((l) => [l.row, l.high]).slice(0, 4), [[0, 1], [1, 1], [2, 1], [3, 1]]);
  assert.deepEqual(ribber.map((l) => [l.row, l.high]), [[0, 2], [2, 2], [4, 2]]);
  // Tucked last: the loop of the row before still hangs.
  assert.deepEqual(left.all.find((c) => c.bed === 1).loops.map((l) => [l.row, l.high]).slice(0, 2), [[1, 2], [3, 2]]);
  assert.deepEqual([0, 1].map((b) => high(made(half, 9), b)), [1, 2], 'how many rows high the loops of each bed are');
  assert.equal(seen(9, 1).named, 'R2', 'the outermost of the ribber');
  // Right after a change of fabric nothing is said of how high its loops are.
  assert.equal(high([{ s: 1, does: ['knit', 'tuck'] }, { s: 0, does: ['knit', 'knit'] }, { s: 0, does: ['knit', 'knit'] }], 1), 0);
  assert.ok(seen(8, 1).open && !seen(9, 1).open, 'a tuck of the newest row lies on the needle with the loop');
  // What is missed has no new loop, and what hangs again hangs on its needle.
  const loops = (one) => one.split('<path').filter((p) => p.includes('var(--oilskin)'));
  assert.equal(loops(drawings('missed', right, 8)[2]).length, 1);
  assert.ok(drawings('dropped', left, 7)[2].includes('translate(83 58)'), drawings('dropped', left, 7)[2].match(/translate[^"]*/)[0]);
  assert.ok(drawings('dropped', right, 8)[0] !== drawings('dropped', left, 8)[0]);
  for (const aid of ['dropped', 'dropped-ribber', 'missed', 'too-many', 'jammed', 'ran-out', 'by-mistake']) {
    const three = drawings(aid, right, 8);
    assert.equal(three.length, 3, aid);
    for (const one of three) assert.ok(!/NaN|undefined/.test(one), one);
  }
  // Before the first row there is no row to draw; help is there all the same.
  for (const aid of ['dropped', 'missed']) for (const one of drawings(aid, seen(0), 0)) assert.ok(!/NaN|undefined/.test(one), one);
});

test('a touch is one cue on, at once', () => {
  const s = begin(piece, server());
  assert.ok(did(s, 'made') && did(s, 'made'));
  assert.equal(position(s), 2);
  assert.deepEqual(s.queue.map((e) => e.to), [1, 2]);
});
test('several are counted only up to the next change', () => {
  const s = begin(piece, server({ position: 8 }));
  tick(s, true);
  assert.equal(run(piece, 8), 19);
  assert.equal(did(s, 'made', { n: 20 }), false);
  assert.equal(position(s), 8, 'a change is never counted over');
  assert.ok(did(s, 'made', { n: 19 }));
  assert.equal(position(s), 27);
});
test('the next change is told from afar', () => {
  assert.deepEqual(next(piece, 8), { at: 27, rows: 19, reads: 20 });
  assert.deepEqual(next(piece, 26), { at: 27, rows: 1, reads: 20 });
  assert.equal(next(piece, 28), null);
});
test('a pause counts nothing', () => {
  const s = begin(piece, server());
  did(s, 'pause');
  assert.ok(paused(s));
  assert.equal(did(s, 'made'), false);
  assert.equal(position(s), 0);
  did(s, 'resume');
  assert.ok(did(s, 'made'));
});
test('after a jump nothing is counted before all is ticked', () => {
  for (const kind of ['ripped', 'counter', 'begin']) {
    const s = begin(piece, server({ position: 20 }));
    assert.equal(s.why, 'joined', 'a page opened midway is a jump');
    tick(s, true);
    assert.ok(did(s, kind, { n: 5, to: 11 }));
    assert.equal(s.ticked, 0);
    assert.equal(did(s, 'made'), false);
    for (let k = 0; k < ITEMS; k++) tick(s);
    assert.equal(s.ticked, null);
    assert.ok(did(s, 'made'));
  }
});
test('a reading leads to every place where the counter reads so, and stays where it is', () => {
  assert.deepEqual(places(piece, 3, 0), [5, 10]);
  assert.deepEqual(places(piece, 20, 28), [28], 'the weights are hung already');
  assert.deepEqual(places(piece, 0, 30), [0, 7]);
  assert.deepEqual(places(piece, 99, 0), []);
  for (let at = 0; at <= piece.cues.length; at++) assert.ok(places(piece, reads(piece, at), at).includes(at));
});
test('ripping never leads on', () => {
  const s = begin(piece, server({ position: 10 }));
  tick(s, true);
  assert.equal(did(s, 'ripped', { n: 15, to: 22 }), false);
  assert.equal(s.refused, 'ripped');
});
test('two that counted the same are one', () => {
  const s = begin(piece, server());
  did(s, 'made');
  answered(s, piece, 409, server({ seq: 1, position: 1 }));
  assert.equal(s.apart, null);
  assert.equal(position(s), 1);
});
test('two that counted apart are shown, and the true one holds', () => {
  for (const ours of [true, false]) {
    const s = begin(piece, server());
    for (let k = 0; k < 5; k++) did(s, 'made');
    answered(s, piece, 409, server({ seq: 2, position: 2 }));
    assert.deepEqual([s.apart.ours, s.apart.theirs], [5, 2]);
    assert.equal(did(s, 'made'), false, 'nothing is counted before it is settled');
    choose(s, piece, ours, { key: 'settled', at: 0 });
    assert.equal(position(s), ours ? 5 : 2);
    assert.equal(s.ticked, 0);
  }
});
test("yesterday's cues are not counted by", () => {
  const s = begin(piece, server());
  did(s, 'made');
  const kept = JSON.parse(JSON.stringify(keep(s, piece)));
  answered(s, piece, 412, server({ plan: 'two' }));
  assert.equal(s.stale, 412);
  assert.equal(s.queue.length, 1, 'nothing is lost');
  assert.equal(did(s, 'made'), false);
  // Reloaded, with other cues: only the counter shows what was counted.
  const anew = begin({ ...piece, plan: 'two' }, server({ plan: 'two', seq: 0, position: 0 }), kept);
  assert.equal(anew.apart.reading, 0);
  assert.equal(anew.apart.ours, null);
});
test('a page out of the device\'s own store goes on from what the device has seen', () => {
  const s = begin(piece, server());
  did(s, 'made');
  answered(s, piece, 200, server({ seq: 1, position: 1 }));
  did(s, 'made');
  const again = begin(piece, server(), JSON.parse(JSON.stringify(keep(s, piece))));
  assert.equal(position(again), 2);
  assert.equal(again.seq, 1);
});

// A workshop as the journal keeps it: an event once by its key, and only after what its sender has seen.
class Shop {
  constructor() { this.events = []; this.position = 0; this.paused = false; }
  state() { return { seq: this.events.length, position: this.position, paused: this.paused, plan: 'one' }; }
  post(e, seq) {
    if (this.events.some((k) => k.key === e.key)) return 200;
    const follows = { made: this.position + Number(e.n || 1), back: this.position - 1, pause: this.position, resume: this.position, note: this.position }[e.kind] ?? e.to;
    if (seq !== this.events.length || e.to !== follows) return 409;
    this.events.push(e);
    this.position = e.to;
    if (e.kind === 'pause') this.paused = true;
    if (['resume', 'made', 'begin'].includes(e.kind)) this.paused = false;
    return 200;
  }
}
const dice = (seed) => () => { let t = (seed = (seed + 0x6d2b79f5) | 0); t = Math.imul(t ^ (t >>> 15), t | 1); t ^= t + Math.imul(t ^ (t >>> 7), t | 61); return ((t ^ (t >>> 14)) >>> 0) / 4294967296; };

// One device of a history: its screen, its link, and what was done at it.
function history(seed) {
  const roll = dice(seed), shop = new Shop();
  // What the hands really did: passes made at the machine, and where that leads.
  let really = 0;
  const devices = [0, 1].map(() => ({ s: begin(piece, shop.state()), linked: true }));
  const send = (d) => {
    if (!d.linked || !d.s.queue.length || d.s.apart) return;
    const first = d.s.queue[0], seq = d.s.seq, status = shop.post(first, seq);
    if (roll() < 0.15) return; // the answer is lost, and it is sent again
    watched(d, () => answered(d.s, piece, status, shop.state()));
  };
  // What a screen shows changes by the knitter's own touch, follows another's by one, or says so.
  const watched = (d, what) => {
    const was = position(d.s);
    what();
    const is = position(d.s);
    assert.ok(is === was || is === was + 1 || d.s.apart || d.s.ticked !== null, `told that it is ${is}, not ${was} (${seed})`);
  };
  const settle = (d, key) => {
    // The knitter looks at the machine: one of the two is true, or neither, and then she reads the counter.
    choose(d.s, piece, d.s.apart.ours === really, { key: `${key}a`, at: 0 });
    if (position(d.s) !== really) act(d.s, piece, { key: `${key}b`, kind: 'counter', n: reads(piece, really), to: really, at: 0 });
    tick(d.s, true);
  };
  for (let step = 0; step < 60; step++) {
    const d = devices[roll() < 0.8 ? 0 : 1], what = roll();
    if (d.s.apart) {
      assert.notEqual(d.s.apart.ours, d.s.apart.theirs);
      settle(d, `h${seed}-${step}`);
    } else if (what < 0.5) {
      if (d.s.ticked !== null) tick(d.s, true);
      // She looks at the screen before she goes on: it must say where the machine is, or else she says where.
      if (position(d.s) !== really) { act(d.s, piece, { key: `c${seed}-${step}`, kind: 'counter', n: reads(piece, really), to: really, at: 0 }); tick(d.s, true); }
      if (paused(d.s)) act(d.s, piece, { key: `r${seed}-${step}`, kind: 'resume', at: 0 });
      if (act(d.s, piece, { key: `m${seed}-${step}`, kind: 'made', at: 0 })) really++;
    } else if (what < 0.58) {
      if (d.s.ticked === null && position(d.s) === really && act(d.s, piece, { key: `b${seed}-${step}`, kind: 'back', at: 0 })) really--;
    } else if (what < 0.62) {
      act(d.s, piece, { key: `p${seed}-${step}`, kind: paused(d.s) ? 'resume' : 'pause', at: 0 });
    } else if (what < 0.7) {
      d.linked = !d.linked;
    } else if (what < 0.74) {
      // Started again: of what it had, only what it kept.
      const kept = JSON.parse(JSON.stringify(keep(d.s, piece)));
      d.s = begin(piece, d.linked ? shop.state() : { ...shop.state(), seq: 0, position: 0 }, kept);
    } else if (what < 0.8) {
      if (d.linked) watched(d, () => heard(d.s, piece, shop.state()));
    } else {
      send(d);
    }
  }
  // All come together again.
  for (let round = 0; round < 200; round++) {
    for (const d of devices) {
      d.linked = true;
      if (d.s.apart) settle(d, `e${seed}-${round}-${devices.indexOf(d)}`);
      if (d.s.queue.length) send(d); else watched(d, () => heard(d.s, piece, shop.state()));
    }
    const [one] = devices, together = devices.every((d) => !d.s.queue.length && !d.s.apart && d.s.at === shop.position);
    if (together && shop.position === really) break;
    // Told of a jump, she reads the counter.
    if (together) { act(one.s, piece, { key: `z${seed}-${round}`, kind: 'counter', n: reads(piece, really), to: really, at: 0 }); tick(one.s, true); }
  }
  return { shop, devices, really };
}
test('random histories: no touch twice, all come together, and every difference is shown', () => {
  const whole = Boolean(process.env.LATCHWORK_WHOLE), seed = Number(process.env.LATCHWORK_SEED || 1);
  const count = whole ? 100_000 : 10_000;
  for (let k = 0; k < count; k++) {
    const { shop, devices, really } = history(seed * 1_000_000 + k);
    const kept = shop.events.map((e) => e.key);
    assert.equal(new Set(kept).size, kept.length, 'none twice');
    assert.equal(shop.position, really, `no pass lost (${k})`);
    for (const d of devices) {
      assert.equal(d.s.queue.length, 0, `nothing waits for ever (${k})`);
      assert.equal(d.s.at, shop.position, `all say the same (${k})`);
    }
  }
});
test('one device alone loses nothing, however often its answers are lost', () => {
  for (let k = 0; k < 2000; k++) {
    const roll = dice(k), shop = new Shop();
    let s = begin(piece, shop.state()), made = 0;
    for (let step = 0; step < 80; step++) {
      const what = roll();
      if (what < 0.4) { if (s.ticked !== null) tick(s, true); if (act(s, piece, { key: `${k}-${step}`, kind: 'made', at: 0 })) made++; }
      else if (what < 0.5) s = begin(piece, shop.state(), JSON.parse(JSON.stringify(keep(s, piece))));
      else if (s.queue.length) { const status = shop.post(s.queue[0], s.seq); if (roll() < 0.7) answered(s, piece, status, shop.state()); }
      assert.equal(s.apart, null, `nobody else counted (${k})`);
      assert.equal(position(s), made, `${k} at ${step}`);
    }
  }
});
