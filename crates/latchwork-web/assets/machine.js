// At the machine. The page holds the cues of the whole piece (counting.js goes through them); a touch is kept here until
// the workshop has it in its journal, and sent twice it counts once.
import { act, answered, begin, byHand, choose, heard, keep, next, paused, places, position, reads, run, tick, unfold } from './counting.js';
import { ASKS, columns, drawings, made, readRows } from './aids.js';
import { awakeBy, stayAwake } from './awake.js';
import { chosen, speak, tone } from './voice.js';

const $ = (id) => document.getElementById(id), box = $('cue');
const piece = unfold(JSON.parse($('piece').textContent)), W = JSON.parse($('words').textContent), url = piece.work;
const KEPT = `latchwork:${piece.folder}:${url}`;
const key = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, '0')).join('');
const esc = (text) => String(text).replace(/[&<>"]/g, (c) => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[c]);
const w = (name, holes) => Object.entries(holes || {}).reduce((t, [k, v]) => t.replaceAll(`{${k}}`, v), W.w[name] || name);
const three = (n) => String(n).padStart(3, '0');
const T = (n) => piece.texts[n], cap = (text) => text.charAt(0).toUpperCase() + text.slice(1);

let stores = true;
function stored() { try { return JSON.parse(localStorage.getItem(KEPT) || 'null'); } catch { stores = false; return null; } }
function store() { try { localStorage.setItem(KEPT, JSON.stringify(keep(s, piece))); } catch { stores = false; } }

const first = JSON.parse($('state').textContent);
const s = begin(piece, first, stored());
let busy = false, alone = false, told = '', shown = null, sent = 0, aid = '', journal = first.journal || '', replanned = first.replanned, pace = first.pace;
const wide = Number(chosen('card', '0'));
// A bank card is 85.6 mm wide (ISO/IEC 7810, ID-1): laid on the screen once, it tells how large a millimetre is here.
if (wide) document.documentElement.style.setProperty('--mm', `${(wide / 85.6).toFixed(3)}px`);

const hull = (n, left) => `<svg class="hull" viewBox="0 0 472 168" preserveAspectRatio="xMinYMid meet" aria-hidden="true"><path d="${left ? 'M3 84L62 2H470V166H62Z' : 'M469 84L410 2H2V166H410Z'}"/><text x="${left ? 270 : 203}" y="150">${three(n)}</text></svg>`;
const way = (left) => `<svg class="way" viewBox="0 0 31 20" aria-hidden="true"><path d="${left ? 'M0 10L8 0H31V20H8Z' : 'M31 10L23 0H0V20H23Z'}"/></svg>`;
const box24 = (done) => `<svg class="tick" viewBox="0 0 24 24" ${done ? `role="img" aria-label="${w('done-word')}"` : 'aria-hidden="true"'}><path class="ink" stroke-width="2" d="M2 2H22V22H2Z"/>${done ? '<path class="ink" stroke-width="3.6" d="M5 12L10 18L21 1"/>' : ''}</svg>`;

const stands = (at) => (at > 0 ? (piece.cues[at - 1].w ?? piece.cues[at - 1].a) : piece.begins) === 0;
function setAt(at) { const c = piece.cues[Math.min(at, piece.cues.length - 1)]; return c && c.s !== undefined ? piece.sets[c.s] : null; }

// What stands on the ledger: each bed's setting both ways, and its size; struck where it is to be changed first.
function bedRow(label, b, was, short) {
  const [l, r, hold, size] = b, same = l === r;
  const does = `${same ? `${way(true)} ${esc(l)} ${way(false)}` : `${way(true)} ${esc(l)}, ${esc(r)} ${way(false)}`}${hold ? `, ${w('holding')}` : ''}`;
  const changed = was && (was[0] !== l || was[1] !== r || was[2] !== hold), sized = was && was[3] !== size;
  if (short) return `<div><dt>${label}</dt><dd>${same ? esc(l) : `${way(true)}${esc(l)}, ${esc(r)}${way(false)}`} ${esc(size)}</dd></div>`;
  return `<div><dt>${label}</dt><dd>${changed ? `<b>${does}</b>` : does}</dd><dd><small>${w('size-word')}</small>${sized ? `<s>${esc(was[3])}</s> <b>${esc(size)}</b>` : esc(size)}</dd></div>`;
}
function ledger(at, cue) {
  const set = setAt(at);
  if (!set) return '';
  const was = at > 0 && cue.x ? setAt(at - 1) : null, changed = (what) => (cue.x || []).find((x) => T(x[0]) === what);
  const yarn = changed('Yarn') || changed('Second yarn');
  const n = next(piece, at);
  const soon = n && n.rows <= 3 ? ' class="soon"' : '';
  const upcoming = n
    ? `<dd class="at">${three(n.reads)}</dd><dd class="wrap"><span${soon}>${n.rows === 1 ? w('rows-one') : w('rows-many', { n: n.rows })}</span></dd>`
    : `<dd class="at">${three(reads(piece, piece.cues.length))}</dd><dd class="wrap">${w('then-is-done')}</dd>`;
  const look = cue.q ? `<div><dt>${w('now-word')}</dt><dd class="wrap">${esc(cue.q.map(T).join(' '))}</dd></div>` : '';
  return `<dl class="log${yarn || look ? ' four' : ''}">${bedRow(w('main-word'), set[0], was && was[0])}${set[1] ? bedRow(w('ribber-word'), set[1], was && was[1]) : ''}` +
    `${yarn ? `<div><dt>${w('yarn-word')}</dt><dd class="wrap"><b>${esc(T(yarn[2]))}</b></dd></div>` : ''}<div><dt>${w('next-word')}</dt>${upcoming}</div></dl>`;
}

// One end of the work, near: needles in work, those that are touched, and from where to where loops go.
function drawn([first, main, ribber, moves, named, half, how]) {
  const P = 58, wide = main.length * P, two = /[|xo]/.test(ribber), H = two ? 216 : 120, ym = 26, yr = 166, x = (i, r) => 30 + i * P + (r && half ? P / 2 : 0);
  let out = `<path class="ink" stroke-width="4.5" d="M0 ${ym}H${wide}"/>`;
  if (two) out += `<path class="ink" stroke-width="1.6" d="M0 ${yr - 2}H${wide}M0 ${yr + 2}H${wide}"/>`;
  const name = (k) => { const slot = first + k; return slot < 0 ? 'L' + -slot : 'R' + (slot + 1); };
  [main, ribber].forEach((bed, r) => [...bed].forEach((sign, k) => {
    if (r && !two) return;
    const px = x(k, r), y = r ? yr : ym, d = r ? -1 : 1;
    if (sign === '.') { out += `<path class="ink" stroke-width="3.4" d="M${px} ${y - d * 19}v${d * 7}"/>`; return; }
    const end = y + d * 42;
    out += `<path class="ink" stroke-width="3.4" d="M${px} ${y - d * 18}V${end}q0 ${d * 8} 7 ${d * 4}"/>`;
    const hot = sign === 'x' || sign === 'o';
    if (sign !== 'o') out += `<ellipse cx="${px}" cy="${y + d * 12}" rx="11" ry="5.7" fill="${hot ? 'var(--tar)' : 'var(--sheet)'}" stroke="var(--tar)" stroke-width="2.8"/>`;
    else out += `<path class="ink" stroke-width="5" d="M${px - 10} ${y + d * 30}H${px + 10}"/>`;
    if (hot) out += `<text x="${px}" y="${H - 4}" font-weight="600">${name(k)}</text>`;
  }));
  for (const [[a, i], [b, j]] of moves) {
    if (a !== b) {
      // Across the gap: straight from hook to hook.
      const [xa, ya, xb, yb] = [x(i, a), a ? yr - 56 : ym + 56, x(j, b), b ? yr - 60 : ym + 60], far = Math.hypot(xb - xa, yb - ya) || 1, ux = (xb - xa) / far, uy = (yb - ya) / far;
      out += `<path class="ink" stroke-width="3" d="M${xa} ${ya}L${xb} ${yb}M${xb - 13 * ux + 7 * uy} ${yb - 13 * uy - 7 * ux}L${xb} ${yb}L${xb - 13 * ux - 7 * uy} ${yb - 13 * uy + 7 * ux}"/>`;
      continue;
    }
    const y1 = (a ? yr - 62 : ym + 62), y2 = (b ? yr - 62 : ym + 62), x1 = x(i, a), x2 = x(j, b), way = Math.sign(x2 - x1) || 1, bow = a ? -26 : 26;
    out += `<path class="ink" stroke-width="3" d="M${x1 + way * 8} ${y1 - bow}Q${(x1 + x2) / 2} ${(y1 + y2) / 2 + bow} ${x2 - way * 12} ${y2 - bow}m${-way * 11} ${a ? -9 : 9}l${way * 11} ${a ? 9 : -9}l${-way * 13} ${a ? 8 : -8}"/>`;
  }
  const title = named.length > 4 ? `${named[0]} … ${named[named.length - 1]}` : named.join(', ');
  return `<figure><svg class="near" viewBox="0 0 ${wide} ${H}" preserveAspectRatio="xMidYMid meet" role="img" aria-label="${esc(named.join(', '))}">${out}</svg><h3${title.length > 12 ? ' class="many"' : ''}>${esc(title)}</h3>${how ? `<p>${esc(how)}</p>` : ''}</figure>`;
}
function hands(at, cue) {
  const said = cue.h.map(T), set = setAt(at), list = `<ol class="acts-list">${said.map((h) => `<li>${esc(h)}</li>`).join('')}</ol>`;
  if (!cue.e) return list;
  const setNow = set ? `<dl class="log one">${bedRow(w('main-word'), set[0], null, true)}${set[1] ? bedRow(w('ribber-word'), set[1], null, true) : ''}</dl>` : '';
  // What stands under the drawings says it all where every end has one way.
  const told = !cue.m && cue.e.every((end) => end[6]) ? '' : list;
  return `<section class="ends${cue.e.length === 1 ? ' alone-end' : ''}">${cue.e.map(drawn).join('')}<div class="both">${told || setNow}</div></section>`;
}

// The seven things that must be so before a cue.
function list(at) {
  let u = null;
  for (let k = Math.min(at, piece.cues.length - 1); k >= 0 && !u; k--) u = piece.cues[k].u;
  if (at === piece.cues.length && piece.end) u = piece.end;
  const said = [w(stands(at) ? 'carriage-left' : 'carriage-right', { counter: three(reads(piece, at)) }), ...u.map(T)];
  const names = ['carriage', 'settings', 'sizes', 'beds', 'needles', 'weights', 'yarn'];
  return names.map((name, k) => ({ name: w('item-' + name), is: said[k] }));
}

const touches = (cue) => (cue.w === undefined ? (cue.e && cue.e.length > 1 && cue.n <= 12 ? 'touch-ends' : 'touch-hands') : cue.w ? 'touch-at-right' : 'touch-at-left');
function go(n, left, word, lines) {
  return `<div class="go">${hull(n, left)}<div><h2>${esc(word)}</h2>${lines.filter(Boolean).map((l) => `<p>${l}</p>`).join('')}</div></div>`;
}
const touchLine = (name, holes) => `<b>${w('touch-word')}</b> ${w(name, holes)}`;

// What is not right, drawn for this fabric at this row; or how to read the rows in it.
function aided(at) {
  const now = reads(piece, at), c = columns(piece, at, (does) => ['tuck', 'slip'].find((name) => w(name) === does) || 'knit');
  const holes = { counter: three(now), needle: c.named }, near = c.named && ['dropped', 'missed', 'too-many', 'ran-out'].includes(aid) ? w('aid-at', holes) : '', line = touchLine(`aid-${aid}-touch`, holes);
  const head = go(now, stands(at), w(`aid-${aid}-word`), [near, line]);
  if (aid === 'rows') {
    const rows = made(piece, at), bed = (b) => { const knits = rows.filter((r) => r.does[b] === w('knit')).length; return knits === rows.length ? 'rows-each' : knits ? 'rows-second' : ''; };
    const said = [[0, 'main-word'], [1, 'ribber-word']].map(([b, name]) => [c.all.some((o) => o.bed === b) && bed(b), name]).filter(([x]) => x).map(([x, name]) => cap(w(x, { bed: w(name), n: Math.round(rows.length / Math.max(1, rows.filter((r) => r.does[name === 'main-word' ? 0 : 1] === w('knit')).length)) })));
    const cue = piece.cues[Math.max(0, at - 1)], fabric = cue && piece.fabrics[cue.p], picture = fabric ? `<figure class="loops"><img alt="${esc(w('loops-alt', { fabric: fabric[1] }))}" width="240" height="250" src="/fabrics/${fabric[0]}"><figcaption><p>${esc(w('loops-of', { fabric: fabric[1] }))}</p></figcaption></figure>` : '';
    return { html: `${head}<section class="aid rows"><figure>${rows.length ? readRows(c, rows) : ''}<figcaption>${[w('rows-newest'), ...said].map((x) => `<p>${esc(x)}</p>`).join('')}</figcaption></figure>${picture}</section>`, say: [w('rows-newest'), ...said].join(' ') };
  }
  const how = (n) => w(aid === 'dropped' && n === 2 && (c.tucked || c.slipped) ? (c.tucked ? 'aid-dropped-2-tuck' : 'aid-dropped-2-slip') : `aid-${aid}-${n}-how`, holes);
  const all = drawings(aid, c, aid === 'too-many' ? now - 1 : now).map((d, k) => ({ d, verb: w(`aid-${aid}-${k + 1}`), how: how(k + 1) }));
  return { html: `${head}<section class="aid">${all.map((a) => `<figure>${a.d}<figcaption><h3>${esc(a.verb)}</h3><p>${esc(a.how)}</p></figcaption></figure>`).join('')}</section>`, say: all.map((a) => `${a.verb}: ${a.how}`).join(' ') };
}

// The whole screen for where the piece is now: how it looks, and what is said.
function screen() {
  const at = position(s), cue = piece.cues[at], now = reads(piece, at), still = paused(s);
  if (aid) return { kind: 'rest aided', ...aided(at) };
  if (still && cue) return { kind: 'rest still', html: go(now, stands(at), w('paused-word'), [w('paused-go-on'), touchLine('touch-nothing')]) + (cue.w === undefined ? '' : ledger(at, cue)), say: '' };
  if (s.ticked !== null && cue) {
    const items = list(at), part = T(cue.p).toLowerCase();
    const then = cue.w === undefined ? w('then-hands-word', { act: T(cue.v) }) : w('then-row', { n: cue.r[0], way: w(cue.w ? 'to-the-right' : 'to-the-left') });
    const near = w(s.why === 'ripped' ? 'now-ripped' : 'now-joined', { counter: three(now), part });
    const rows = items.map((x, k) => `<li class="${k < s.ticked ? 'done' : k === s.ticked ? 'now-item' : ''}" style="--n:${x.is.length}">${box24(k < s.ticked)}<em>${x.name}</em><span>${esc(x.is)}</span></li>`).join('');
    const item = items[s.ticked];
    return { kind: 'rest jump', html: go(now, stands(at), w('why-' + s.why), [near, touchLine('touch-tick', { then })]) + `<ol class="list">${rows}</ol>`, say: `${item.name}: ${item.is}.` };
  }
  if (!cue) return { kind: 'rest', html: go(now, stands(at), w('done-word'), [w('all-done'), piece.more]), say: `${w('all-done')} ${piece.more}` };
  if (cue.w === undefined) {
    const [before, after] = cue.l, loops = before !== after && before ? w('loops-from-to', { from: before, to: after }) : after ? w('loops-stay', { n: after }) : '';
    return { kind: 'rest hands', html: go(now, stands(at), T(cue.v), [`${esc(cap(T(cue.p)))}${loops ? `, ${loops}` : ''}`, touchLine(touches(cue))]) + hands(at, cue), say: cue.h.map(T).join(' ') };
  }
  const to = w(cue.w ? 'to-the-right' : 'to-the-left'), n = next(piece, at);
  const rows = n ? (n.rows === 1 ? w('rows-one') : w('rows-many', { n: n.rows })) : '';
  const set = (cue.x || []).map((x) => `${T(x[0])}: ${T(x[2])}.`).join(' ');
  const look = (cue.q || []).map(T).join(' ');
  return {
    kind: cue.x ? 'hands' : 'plain',
    html: go(cue.c, !cue.w, to, [cue.t ? esc(T(cue.d)) : `${esc(cap(T(cue.p)))}, ${w('row-of', { n: cue.r[0], of: cue.r[1] })}`, touchLine(touches(cue))]) + ledger(at, cue),
    say: [set, look, `${cap(to)}.`, cue.x || cue.t ? `${T(cue.d)}.` : '', n ? w('say-next', { counter: three(n.reads), rows }) : ''].filter(Boolean).join(' '),
    short: cue.x ? `${set} ${to}.` : `${w(cue.w ? 'right' : 'left')}`,
  };
}

function left() {
  let passes = 0, seconds = 0;
  for (let k = position(s); k < piece.cues.length; k++) {
    const c = piece.cues[k];
    if (c.w !== undefined) passes++; else seconds += 8 * c.h.length + 3 * c.n;
  }
  const minutes = Math.floor((passes * pace / 1000 + seconds) / 60);
  return minutes < 60 ? w('minutes-left', { m: minutes }) : w('time-left', { h: Math.floor(minutes / 60), m: String(minutes % 60).padStart(2, '0') });
}
function thread() {
  const of = Math.max(piece.cues.length, 1), wide = $('run').clientWidth || 1000, at = wide * position(s) / of, n = next(piece, position(s));
  $('run').setAttribute('viewBox', `0 0 ${wide} 20`);
  $('run').innerHTML = `<path class="ink" stroke-width="1.5" d="M0 10H${wide}"/><path class="yc" stroke-width="7" stroke-linecap="butt" d="M0 10H${at}"/><path class="yf" stroke-width="3.6" stroke-linecap="butt" d="M0 10H${Math.max(0, at - 1.6)}"/>${n ? `<path class="ink" stroke-width="2.4" d="M${wide * n.at / of} 2V18"/>` : ''}`;
}

// Sentences as large as their place allows, and no larger than the word above them.
function fit() {
  const list = $('now').querySelector('.acts-list');
  if (!list) return;
  const room = list.closest('.both') ? null : list.parentElement.clientHeight - list.previousElementSibling.offsetHeight - 40;
  let size = parseFloat(getComputedStyle($('now').querySelector('h2')).fontSize) * (room === null ? 0.4 : 1);
  do list.style.fontSize = `${size}px`; while ((list.scrollWidth > list.clientWidth + 1 || list.offsetHeight > (room ?? list.offsetHeight)) && (size *= 0.92) > 15);
}
// Everything on the page as it is now. `quiet` where nothing is new to the knitter's ears.
function show(quiet) {
  const at = position(s), v = screen(), cue = piece.cues[at];
  const mark = `${at} ${s.ticked} ${paused(s)} ${Boolean(s.apart)} ${aid}`;
  const moved = shown !== null && shown !== mark;
  shown = mark;
  box.className = `cue ${v.kind}`;
  $('now').innerHTML = v.html;
  fit();
  box.dataset.position = at; box.dataset.seq = s.seq; box.dataset.ticked = s.ticked ?? '';
  $('left').textContent = left();
  thread();
  const still = paused(s), many = run(piece, at), button = (name) => box.querySelector(`[data-do=${name}]`);
  button('many').textContent = s.ticked !== null ? W.tickAll : still ? W.note : W.many;
  button('many').disabled = s.ticked === null && !still && many < 2;
  button('back').disabled = at === 0 || still;
  button('pause').textContent = still ? W.goOn : W.pause;
  button('wrong').textContent = aid ? W.notThis : W.notRight;
  $('alone').textContent = alone ? (s.queue.length ? w('alone', { n: s.queue.length }) : w('alone-none')) : sent ? w('all-sent') : awakeBy() ? '' : w('sleeps');
  const stale = s.stale === 412 ? w('stale-plan') : s.stale === 421 ? w('stale-folder') : '';
  const words = stale || told || (s.refused && s.refused !== 'made' && s.refused !== 'back' ? `${W.noCounter} ${W.runs}` : '') || (stores ? '' : w('never-sleep'));
  $('lost').textContent = words; $('lost').hidden = !words;
  if ($('journal-words').textContent !== journal) $('journal-words').textContent = journal;
  $('journal').hidden = !journal;
  $('replanned').hidden = !replanned || Boolean(s.stale);
  apart();
  if (!moved || quiet) return;
  if ((still && !aid) || s.apart) return;
  // What is heard comes after what is seen: to open a device's sound takes longer than to draw.
  setTimeout(() => {
    if (aid) { /* help is told and rings no bell */ } else if (s.ticked !== null) { if (s.ticked === 0) tone(330, 0, 0.3); } else if (!cue || byHand(cue)) { tone(440, 0, 0.16); tone(587, 0.18, 0.22); } else tone(660, 0, 0.06);
    if (v.say) speak(chosen('wording', 'say') === 'short' && v.short ? v.short : v.say);
  });
}
function apart() {
  // With another plan the counter is asked for anyway.
  $('apart').hidden = !s.apart || replanned;
  if ($('apart').hidden) return;
  const { ours, theirs, reading } = s.apart, one = (which, at) => `<button data-true="${which}">${hull(reads(piece, at), stands(at))}<span>${w(`apart-${which}`, { counter: three(reads(piece, at)) })}</span></button>`;
  $('apart').innerHTML = `<h2>${w('apart-word')}</h2><p>${w('apart-how')}</p>${ours === null ? `<p>${w('apart-old', { counter: three(reading) })}</p>` : ''}<div class="two">${ours === null ? '' : one('ours', ours)}${one('theirs', theirs)}</div>`;
  for (const b of $('apart').querySelectorAll('[data-true]')) b.onclick = async () => {
    choose(s, piece, b.dataset.true === 'ours', { key: key(), at: Date.now() });
    store(); show(); focus(); flush();
    if (ours === null) await acts.counter();
  };
}

// What a page that refuses says.
const wordsOf = (html) => [...new DOMParser().parseFromString(html, 'text/html').querySelectorAll('main p:not(:has(a))')].map((p) => p.textContent).join(' ');
function take(server) { journal = server.journal || ''; replanned = server.replanned; pace = server.pace; }

async function flush() {
  if (!s.queue.length || busy || s.apart || s.stale) return;
  busy = true;
  const first = s.queue[0];
  let why = '';
  try {
    const body = new URLSearchParams({ key: first.key, seq: s.seq, kind: first.kind, n: first.n, note: first.note, to: first.to, plan: piece.plan, folder: piece.folder, ago: Math.max(0, Date.now() - first.at) });
    const answer = await fetch(url, { method: 'POST', body, signal: AbortSignal.timeout(4000) });
    if (answer.status >= 500 || answer.status === 404 || answer.status === 403) { why = wordsOf(await answer.text()); throw new Error('not kept'); }
    const server = await answer.json();
    const back = alone;
    answered(s, piece, answer.status, server);
    take(server);
    store();
    told = ''; alone = false;
    if (back) { sent = s.queue.length ? 0 : 1; setTimeout(() => { sent = 0; show(true); }, 4000); }
    show(true);
  } catch {
    alone = true; told = why;
    show(true);
    setTimeout(() => { busy = false; flush(); }, 800);
    return;
  }
  busy = false;
  flush();
}
function happened(kind, n, note, to) {
  if (s.stale || replanned) return false;
  const done = act(s, piece, { key: key(), kind, n, note, to, at: Date.now() });
  store();
  show();
  if (done) flush();
  return done;
}
const focus = () => { if (!$('ask').open && $('help').hidden && !s.apart) $('touch').focus({ preventScroll: true }); };
function done() {
  if (aid) { mended(); return; }
  if (s.apart || s.stale || replanned || paused(s) || ($('short') && !$('short').hidden)) return;
  if (s.ticked !== null) { tick(s); show(); return; }
  if (position(s) < piece.cues.length) happened('made');
}
// No pass is made so soon after the last: a finger that trembles counts once.
const BOUNCE = 200;
let touched = -BOUNCE;
$('touch').onclick = (e) => {
  const soon = e.isTrusted && e.timeStamp - touched < BOUNCE;
  touched = e.timeStamp;
  if (!soon) done();
};

// A question in the page, with room for large figures; or a choice of a few.
function ask(text, figures, usual, choices) {
  const d = $('ask'), field = $('answer');
  $('asked').textContent = text;
  field.value = usual ?? ''; field.inputMode = figures ? 'numeric' : 'text';
  if (figures) { field.pattern = '[0-9]{1,4}'; field.className = 'figures'; } else { field.removeAttribute('pattern'); field.className = 'wide'; }
  field.hidden = Boolean(choices);
  d.querySelector('.acts .main').hidden = Boolean(choices);
  $('choices').innerHTML = (choices || []).map(([value, label]) => `<button value="${value}">${esc(label)}</button>`).join('');
  d.returnValue = 'no'; d.showModal(); if (!choices) field.select();
  return new Promise((done) => d.addEventListener('close', () => { focus(); done(choices ? (d.returnValue === 'no' ? '' : d.returnValue) : d.returnValue === 'yes' ? field.value.trim() : ''); }, { once: true }));
}
// Where the counter's reading leads: asked for where it stands at several places.
async function led(kind, text) {
  const n = await ask(`${text} ${W.runs}`, true);
  if (!n) return false;
  const at = position(s), every = places(piece, Number(n), at), found = every.filter((k) => kind === 'counter' || k <= at);
  if (every.length && !found.length) { told = w('ahead', { counter: three(Number(n)) }); show(true); return false; }
  let to = found[found.length - 1];
  if (found.length > 1) {
    const part = (k) => T(piece.cues[Math.min(k, piece.cues.length - 1)].p);
    const pick = await ask(w('which-place', { counter: three(Number(n)) }), false, '', found.map((k) => [k, w('in-part', { part: part(k).toLowerCase() })]));
    if (!pick) return false;
    to = Number(pick);
  }
  told = '';
  return happened(kind, Number(n), '', to);
}
// Back to counting, at the right place: where only the knitter knows what the counter reads, it is asked for.
async function mended() {
  const asks = ASKS.includes(aid);
  aid = ''; show();
  if (asks) await led('counter', W.askCounter);
  focus();
}
function help(open) { $('help').hidden = !open; if (open) $('help').querySelector('button').focus(); else focus(); }
// Kept by the browser before they are wanted: a workshop may be away by then.
const pictures = Object.values(piece.fabrics).map(([k]) => { const i = new Image(); i.src = `/fabrics/${k}`; return i; });
const acts = {
  back: () => happened('back'),
  counter: () => led('counter', W.askCounter),
  ripped: () => led('ripped', W.askRipped),
  wrong: () => help($('help').hidden),
  many: async () => {
    if (s.ticked !== null) { tick(s, true); show(); return; }
    if (paused(s)) { const n = await ask(W.askNote, false); if (n) happened('note', undefined, [...n].slice(0, 480).join('')); return; }
    const most = run(piece, position(s));
    let n = '';
    do n = await ask(`${W.askMany} ${most}`, true, most); while (n !== '' && !(Number(n) >= 1 && Number(n) <= most));
    if (n) happened('made', Number(n));
  },
  pause: () => happened(paused(s) ? 'resume' : 'pause'),
};
for (const b of box.querySelectorAll('[data-do]')) b.onclick = async () => { await acts[b.dataset.do](); focus(); };
for (const b of $('help').querySelectorAll('[data-aid]')) b.onclick = () => { aid = b.dataset.aid; help(false); show(); };
$('leave').onclick = () => { aid = ''; help(false); show(); };
$('sound-check').onclick = () => { tone(440, 0, 0.16); tone(587, 0.18, 0.22); speak(W.soundCheck, true); };
$('full').onclick = () => { if (document.fullscreenElement) document.exitFullscreen(); else document.documentElement.requestFullscreen(); help(false); };
if ($('knowing')) $('knowing').onclick = () => { $('short').hidden = true; focus(); };
// With another plan only the counter tells where the piece is.
$('carry-on').onclick = async () => {
  try {
    const a = await fetch(url + '/carry-on', { method: 'POST' });
    if (!a.ok) return;
    take(await a.json());
    const old = s.apart && s.apart.ours === null ? `${w('apart-old', { counter: three(s.apart.reading) })} ` : '';
    if (old) s.apart = null;
    show(true);
    while (!await led('counter', old + W.askCounter)) { /* it must be known */ }
  } catch { told = W.lost; show(true); }
};
addEventListener('keydown', (e) => {
  if (e.key !== 'Escape' && e.target.closest('input,textarea,select,a,dialog,.help,.apart,.told')) return;
  if (e.repeat) return;
  if ([' ', 'Enter', 'PageDown', 'ArrowRight', 'MediaPlayPause'].includes(e.key)) { e.preventDefault(); done(); }
  if (['Backspace', 'PageUp', 'ArrowLeft'].includes(e.key)) { e.preventDefault(); acts.back(); }
  if (e.key === 'Escape' && (aid || !$('help').hidden)) { aid = ''; help(false); show(); }
});
// A finger or a pen on anything but a button leaves the field in hand.
addEventListener('pointerup', () => setTimeout(focus));
addEventListener('resize', () => { thread(); fit(); });
// Without a worker a page that is loaded anew while the workshop is away is gone, though never its touches.
addEventListener('beforeunload', (e) => { if (alone && !navigator.serviceWorker?.controller) e.preventDefault(); });
document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') { stayAwake(); fresh(); } });
async function fresh() {
  try {
    const a = await fetch(url, { signal: AbortSignal.timeout(4000) });
    if (!a.ok) return;
    const server = await a.json();
    if (busy) return;
    heard(s, piece, server); take(server); alone = false; store(); show(true);
    flush();
  } catch { /* told when it is next touched */ }
}
if (navigator.serviceWorker) {
  navigator.serviceWorker.register('/sw.js').catch(() => { /* this page stays as long as it is open */ });
  navigator.serviceWorker.ready.then((r) => { box.dataset.served = '1'; r.active.postMessage(location.href); });
}
// What another device counts is shown here too.
const ears = new EventSource(url + '/stream');
ears.onmessage = (e) => { if (Number(e.data) > s.seq && !busy) fresh(); };
ears.onopen = () => { if (s.queue.length) flush(); else fresh(); };
ears.onerror = () => { if (!alone) { alone = true; show(true); } };
show(true); stayAwake(() => show(true)); focus();
flush();
box.dataset.ready = '1';
