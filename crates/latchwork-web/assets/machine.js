// At the machine. The page holds the cues of the whole piece (counting.js goes through them); a touch is kept here
// until the workshop has it in its journal, and counts once if it is sent twice.
import { act, answered, asked, begin, byHand, choose, finished, handled, heard, keep, named, next, paused, places, position, reads, run, settle, stands, tick, unfold } from './counting.js';
import { ASKS, columns, drawings, high, made, readRows } from './aids.js';
import { awake, stayAwake } from './awake.js';
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
let busy = false, alone = false, told = '', shown = null, sent = 0, aid = '', ended = first.done, journal = first.journal || '', replanned = first.replanned, pace = first.pace;
const wide = Number(chosen('card', '0'));
// What is to be known until the list is ticked: above the list, and in place of what the counter reads.
let advice = { bar: '', near: '' };
// A bank card is 85.6 mm wide (ISO/IEC 7810, ID-1): laid on the screen once, it shows how large a millimetre is here.
if (wide) document.documentElement.style.setProperty('--mm', `${(wide / 85.6).toFixed(3)}px`);

const hull = (n, left) => `<svg class="hull" viewBox="0 0 472 168" preserveAspectRatio="xMinYMid meet" aria-hidden="true"><path d="${left ? 'M3 84L62 2H470V166H62Z' : 'M469 84L410 2H2V166H410Z'}"/><text x="${left ? 270 : 203}" y="150">${three(n)}</text></svg>`;
const way = (left) => `<svg class="way" viewBox="0 0 31 20" aria-hidden="true"><path d="${left ? 'M0 10L8 0H31V20H8Z' : 'M31 10L23 0H0V20H23Z'}"/></svg>`;
const box24 = (done) => `<svg class="tick" viewBox="0 0 24 24" ${done ? `role="img" aria-label="${w('done-word')}"` : 'aria-hidden="true"'}><path class="ink" stroke-width="2" d="M2 2H22V22H2Z"/>${done ? '<path class="ink" stroke-width="3.6" d="M5 12L10 18L21 1"/>' : ''}</svg>`;

const left = (at) => stands(piece, at) === 0;
function setAt(at) { const c = piece.cues[Math.min(at, piece.cues.length - 1)]; return c && c.s !== undefined ? piece.sets[c.s] : null; }

// What stands on the ledger: each bed's setting both ways, that of this pass in full, and its size; what is to be
// changed first with what it was.
function bedRow(label, b, was, short, going) {
  const [l, r, hold, size] = b, same = l === r, one = (does, way) => (going === undefined || going === way ? esc(w(does)) : `<i>${esc(w(does))}</i>`);
  const does = `${same ? `${way(true)} ${esc(w(l))} ${way(false)}` : `${way(true)} ${one(l, 0)} ${one(r, 1)} ${way(false)}`}${hold ? `<small>${w('holding')}</small>` : ''}`;
  const changed = was && (was[0] !== l || was[1] !== r || was[2] !== hold), sized = was && was[3] !== size;
  if (short) return `<div><dt>${label}</dt><dd>${same ? esc(w(l)) : `${way(true)}${esc(w(l))} ${esc(w(r))}${way(false)}`} <small>${w('size-word')}</small>${esc(size)}</dd></div>`;
  return `<div${same ? '' : ' class="two-way"'}><dt>${label}</dt><dd>${changed ? `<b>${does}</b>` : does}</dd><dd><small>${w('size-word')}${sized ? `<span class="old"> ${was[3] ? `${esc(was[3])} →` : ''}</span>` : ''}</small>${sized ? `<b>${esc(size)}</b>` : esc(size)}</dd></div>`;
}
// What the next change is, in a word.
const called = (cue) => (cue.w === undefined ? T(cue.v) : cue.k === undefined ? w('to-set') : cue.x.length ? w('to-mark-set') : w('mark-word'));
function ledger(at, cue) {
  const set = setAt(at);
  if (!set) return '';
  // Before the first pass nothing was set.
  const unset = ['', '', false, ''], was = cue.x && cue.x.length ? (at > 0 && setAt(at - 1)) || [unset, unset] : null, changed = (what) => (cue.x || []).find((x) => T(x[0]) === what);
  const yarn = changed('Yarn') || changed('Second yarn');
  const n = next(piece, at);
  const soon = n && n.rows <= 3 ? ' class="soon"' : '';
  const upcoming = n
    ? `<dd class="at">${three(n.reads)}</dd><dd class="wrap"><span${soon}>${n.rows === 1 ? w('rows-only-one') : w('rows-only', { n: n.rows })}</span><small class="two">${esc(w('to-knit'))}<br>${esc(w('then-what', { what: called(piece.cues[n.at]) }))}</small></dd>`
    : `<dd class="at">${three(reads(piece, piece.cues.length))}</dd><dd class="wrap">${w('then-is-done')}</dd>`;
  const mark = cue.k === undefined ? '' : `<div><dt>${w('mark-word')}</dt><dd class="wrap"><b>${esc(T(cue.k))}</b><small class="two">${esc(w('mark-with'))}<br>${esc(w('mark-for'))}</small></dd></div>`;
  return `<dl class="log${yarn || mark ? ' four' : ''}">${mark}${bedRow(w('main-word'), set[0], was && was[0], false, cue.w)}${set[1] ? bedRow(w('ribber-word'), set[1], was && was[1], false, cue.w) : ''}` +
    `${yarn ? `<div><dt>${w('yarn-word')}</dt><dd class="wrap"><b>${esc(T(yarn[2]))}</b></dd></div>` : ''}<div><dt>${w('next-word')}</dt>${upcoming}</div></dl>`;
}

// One end of the work, close up: needles in work, those that are touched, and where loops move from and to.
function drawn([first, main, ribber, moves, names, half, how], which, cue) {
  const P = 58, wide = main.length * P, two = /[|xo]/.test(ribber), H = two ? 216 : 120, ym = 26, yr = 166, x = (i, r) => 30 + i * P + (r && half ? P / 2 : 0);
  let out = `<path class="ink" stroke-width="4.5" d="M0 ${ym}H${wide}"/>`;
  if (two) out += `<path class="ink" stroke-width="1.6" d="M0 ${yr - 2}H${wide}M0 ${yr + 2}H${wide}"/>`;
  [main, ribber].forEach((bed, r) => [...bed].forEach((sign, k) => {
    if (r && !two) return;
    const px = x(k, r), y = r ? yr : ym, d = r ? -1 : 1;
    if (sign === '.') { out += `<path class="ink" stroke-width="3.4" d="M${px} ${y - d * 19}v${d * 7}"/>`; return; }
    const end = y + d * 42;
    out += `<path class="ink" stroke-width="3.4" d="M${px} ${y - d * 18}V${end}q0 ${d * 8} 7 ${d * 4}"/>`;
    const hot = sign === 'x' || sign === 'o';
    if (sign !== 'o') out += `<ellipse cx="${px}" cy="${y + d * 12}" rx="11" ry="5.7" fill="${hot ? 'var(--tar)' : 'var(--sheet)'}" stroke="var(--tar)" stroke-width="2.8"/>`;
    else out += `<path class="ink" stroke-width="5" d="M${px - 10} ${y + d * 30}H${px + 10}"/>`;
    if (hot) out += `<text x="${px}" y="${H - 4}" font-weight="600">${named(first + k)}</text>`;
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
  // Of a whole row only the ends are drawn.
  const row = cue.m || (!moves.length && cue.n > 12);
  const title = row ? (!which ? `${names.slice(0, 2).join(', ')} …` : which < cue.e.length - 1 ? `… ${names[names.length >> 1]} …` : `… ${names.slice(-2).join(', ')}`) : names.length > 4 ? `${names[0]} … ${names[names.length - 1]}` : names.join(', ');
  return `<figure><svg class="near" viewBox="0 0 ${wide} ${H}" preserveAspectRatio="xMidYMid meet" role="img" aria-label="${esc(names.join(', '))}">${out}</svg><h3${title.length > 12 ? ' class="many"' : ''}>${esc(title)}</h3>${T(how) ? `<p>${esc(T(how))}</p>` : ''}</figure>`;
}
function hands(at, cue) {
  const said = cue.h.map(T), set = setAt(at), list = `<ol class="acts-list">${said.map((h) => `<li>${esc(h)}</li>`).join('')}</ol>`;
  if (!cue.e) return list;
  const setNow = set ? `<dl class="log one">${bedRow(w('main-word'), set[0], null, true)}${set[1] ? bedRow(w('ribber-word'), set[1], null, true) : ''}</dl>` : '';
  // What stands under the drawings says it all where every end has one way.
  const told = !cue.m && cue.e.every((end) => T(end[6])) ? '' : list;
  return `<section class="ends${['', ' alone-end', '', ' three'][cue.e.length]}">${cue.e.map((end, which) => drawn(end, which, cue)).join('')}<div class="both">${told || setNow}</div></section>`;
}

// The seven things that must be so before a cue.
function list(at) {
  let u = null;
  for (let k = Math.min(at, piece.cues.length - 1); k >= 0 && !u; k--) u = piece.cues[k].u;
  if (at === piece.cues.length && piece.end) u = piece.end;
  const said = [w(`carriage-${left(at) ? 'left' : 'right'}${s.why === 'ripped' ? '-back' : ''}`, { counter: three(reads(piece, at)) }), ...u.map(T)];
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
  const now = reads(piece, at), ribber = aid === 'dropped-ribber', kind = ribber ? 'dropped' : aid, c = columns(piece, at, ribber ? 1 : 0);
  const holes = { counter: three(now), needle: c.named }, near = c.named && ['dropped', 'missed'].includes(kind) ? w('aid-at', holes) : '';
  const head = go(now, left(at), w(`aid-${kind}-word`), [near, touchLine(`aid-${kind}-touch`, holes)]);
  if (aid === 'rows') {
    const rows = made(piece, at), cue = piece.cues[Math.max(0, at - 1)], fabric = rows.length && piece.fabrics[cue.p];
    const beds = [[0, 'main-word'], [1, 'ribber-word']].filter(([b]) => c.all.some((o) => o.bed === b)).map(([b, name]) => [high(rows, b), name]).filter(([n]) => n);
    const said = rows.length ? [w('rows-newest'), ...beds.map(([n, name]) => cap(n === 1 ? w('rows-each', { bed: w(name) }) : w('rows-high', { bed: w(name), n })))] : [w('rows-none')];
    const picture = fabric && fabric[0] !== null ? `<figure class="loops"><img alt="${esc(w('loops-alt', { fabric: fabric[1] }))}" width="240" height="250" src="/fabrics/${fabric[0]}"><figcaption><p>${esc(w('loops-of', { fabric: fabric[1] }))}</p></figcaption></figure>` : '';
    return { html: `${head}<section class="aid rows"><figure>${rows.length ? readRows(c, rows) : ''}<figcaption>${said.map((x) => `<p>${esc(x)}</p>`).join('')}</figcaption></figure>${picture}</section>`, say: said.join(' ') };
  }
  const how = (n) => w(kind === 'dropped' && n === 3 && c.open ? 'aid-dropped-3-tuck' : kind === 'dropped' && n === 2 && (c.tucked || c.slipped) ? (c.tucked ? 'aid-dropped-2-tuck' : 'aid-dropped-2-slip') : ribber && n === 1 ? 'aid-dropped-1-ribber' : `aid-${kind}-${n}-how`, holes);
  const all = drawings(aid, c, now).map((d, k) => ({ d, verb: w(`aid-${kind}-${k + 1}`), how: how(k + 1) }));
  return { html: `${head}<section class="aid">${all.map((a) => `<figure>${a.d}<figcaption><h3>${esc(a.verb)}</h3><p>${esc(a.how)}</p></figcaption></figure>`).join('')}</section>`, say: all.map((a) => `${a.verb}: ${a.how}`).join(' ') };
}

// The whole screen for where the piece is now: how it looks, and what is said.
function screen() {
  const at = position(s), cue = piece.cues[at], now = reads(piece, at), still = paused(s);
  if (s.stale) return { kind: 'rest still', html: go(now, left(at), w('stale-word'), s.stale === 421 ? [esc(w('stale-folder'))] : [esc(w('stale-plan')), touchLine('stale-touch')]), say: '' };
  if (aid) return { kind: 'rest', ...aided(at) };
  if (still && cue) return { kind: 'rest still', html: go(now, left(at), w('paused-word'), [w('paused-go-on'), touchLine('touch-nothing')]) + (cue.w === undefined ? hands(at, cue) : ledger(at, cue)), say: '' };
  if (s.ticked !== null && cue) {
    const items = list(at), part = T(cue.p).toLowerCase();
    const then = cue.w === undefined ? w('then-hands-word', { act: T(cue.v) }) : w('then-row', { n: cue.r[0], way: w(cue.w ? 'to-the-right' : 'to-the-left') });
    const near = esc(advice.near || w(s.why === 'ripped' ? 'now-ripped' : 'now-joined', { counter: three(now), part }));
    const rows = items.map((x, k) => `<li class="${k < s.ticked ? 'done' : k === s.ticked ? 'now-item' : ''}" style="--n:${x.is.length}">${box24(k < s.ticked)}<em>${x.name}</em><span>${esc(x.is)}</span></li>`).join('');
    const item = items[s.ticked];
    return { kind: 'rest jump', html: go(now, left(at), w('why-' + s.why), [near, touchLine('touch-tick', { then })]) + `<ol class="list">${rows}</ol>`, say: `${item.name}: ${item.is}.` };
  }
  if (!cue) return { kind: 'rest', html: go(now, left(at), w('done-word'), [w('all-done')]) + (more() ? `<ol class="acts-list"><li>${esc(more())}</li></ol>` : ''), say: `${w('all-done')} ${more()}`.trim() };
  if (cue.w === undefined) {
    const [before, after] = cue.l, loops = before !== after && before ? w('loops-from-to', { from: before, to: after }) : after ? (after === 1 ? w('loops-one') : w('loops-stay', { n: after })) : '';
    return { kind: 'rest hands', html: go(now, left(at), T(cue.v), [`${esc(cap(T(cue.p)))}${loops ? `, ${loops}` : ''}`, touchLine(touches(cue))]) + hands(at, cue), say: cue.h.map(T).join(' ') };
  }
  const to = w(cue.w ? 'to-the-right' : 'to-the-left'), n = next(piece, at);
  const rows = n ? (n.rows === 1 ? w('rows-one') : w('rows-many', { n: n.rows })) : '';
  const mark = cue.k === undefined ? '' : `${cap(w('mark-word'))} ${T(cue.k)} ${w('mark-with')} ${w('mark-for')}.`;
  const set = [mark, ...(cue.x || []).map((x) => `${T(x[0])}: ${T(x[2])}.`)].filter(Boolean).join(' ');
  const look = (cue.q || []).map(T).join(' '), row = `${cap(T(cue.p))}, ${w('row-of', { n: cue.r[0], of: cue.r[1] })}`;
  return {
    kind: cue.x ? 'hands' : 'plain',
    html: go(cue.c, !cue.w, to, [esc(cue.t ? T(cue.d) : look || `${row}; ${w('reads-now', { counter: three(now) })}`), touchLine(touches(cue))]) + ledger(at, cue),
    say: [set, look, `${cap(to)}.`, cue.x || cue.t ? `${T(cue.d)}.` : '', n ? w('say-next', { what: called(piece.cues[n.at]), counter: three(n.reads), rows }) : ''].filter(Boolean).join(' '),
    short: cue.x ? `${set} ${to}.` : `${w(cue.w ? 'right' : 'left')}`,
  };
}

// How often the piece was knitted to its end, and what that leaves to do.
const ends = () => finished(s, piece, ended);
const more = () => (piece.make < 2 ? '' : ends() < piece.make ? w('made-of', { k: ends(), n: piece.make }) : w('made-all', { n: piece.make }));
function remaining() {
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
  $('left').textContent = remaining();
  thread();
  const still = paused(s), many = run(piece, at), button = (name) => box.querySelector(`[data-do=${name}]`);
  button('many').textContent = s.ticked !== null ? W.tickAll : still ? W.note : W.many;
  button('many').disabled = s.ticked === null && !still && many < 2;
  button('back').disabled = at === 0 || still;
  button('pause').textContent = still ? W.goOn : W.pause;
  button('wrong').textContent = aid ? W.notThis : W.notRight;
  $('alone').textContent = alone ? (s.queue.length ? w('alone', { n: s.queue.length }) : w('alone-none')) : sent ? w('all-sent') : awake() ? '' : w('sleeps');
  if (s.ticked === null) advice = { bar: '', near: '' };
  const words = told || advice.bar || (s.refused && s.refused !== 'made' && s.refused !== 'back' ? `${W.noCounter} ${W.runs}` : '') || (stores ? '' : w('never-sleep'));
  $('lost').textContent = words; $('lost').hidden = !words;
  if ($('journal-words').textContent !== journal) $('journal-words').textContent = journal;
  $('journal').hidden = !journal;
  $('replanned').hidden = !replanned || Boolean(s.stale);
  apart();
  if (!moved || quiet) return;
  if ((still && !aid) || s.apart) return;
  // What is heard comes after what is seen: opening a device's sound takes longer than drawing.
  setTimeout(() => {
    if (aid) { /* help is told and rings no bell */ } else if (s.ticked !== null) { if (s.ticked === 0) tone(330, 0, 0.3); } else if (!cue || byHand(cue)) { tone(440, 0, 0.16); tone(587, 0.18, 0.22); } else tone(660, 0, 0.06);
    if (v.say) speak(chosen('wording', 'say') === 'short' && v.short ? v.short : v.say);
  });
}
function apart() {
  // With another plan the counter is asked for anyway.
  $('apart').hidden = !s.apart || replanned;
  if ($('apart').hidden) return;
  const { ours, theirs, reading } = s.apart, one = (which, at) => `<button data-true="${which}">${hull(reads(piece, at), left(at))}<span>${esc(w(`apart-${which}`, { counter: three(reads(piece, at)), part: T(piece.cues[Math.min(at, piece.cues.length - 1)].p).toLowerCase() }))}</span></button>`;
  $('apart').innerHTML = `<h2>${w('apart-word')}</h2><p>${w('apart-how')}</p>${ours === null ? `<p>${w('apart-old', { counter: three(reading) })}</p>` : ''}<div class="two">${ours === null ? '' : one('ours', ours)}${one('theirs', theirs)}</div>`;
  for (const b of $('apart').querySelectorAll('[data-true]')) b.onclick = async () => {
    choose(s, piece, b.dataset.true === 'ours', { key: key(), at: Date.now() });
    store(); show(); focus(); flush();
    if (ours === null) await acts.counter();
  };
}

// What a page that refuses says.
const wordsOf = (html) => [...new DOMParser().parseFromString(html, 'text/html').querySelectorAll('main p:not(:has(a))')].map((p) => p.textContent).join(' ');
function take(server) { journal = server.journal || ''; replanned = server.replanned; pace = server.pace; ended = server.done; }

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
async function another() {
  if (await ask(w('begin-next', { n: piece.make }), false, '', [['yes', w('begin-word')]])) happened('begin');
}
function done() {
  if (s.stale === 412) { location.reload(); return; }
  if (aid) { mended(); return; }
  if (s.apart || s.stale || replanned || paused(s) || ($('short') && !$('short').hidden)) return;
  if (s.ticked !== null) { tick(s); show(); return; }
  if (position(s) < piece.cues.length) happened('made'); else if (ends() < piece.make) another();
}
// No pass is made this soon after the last: a trembling finger counts once.
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
  // One question at a time.
  if (d.open) return Promise.resolve('');
  $('asked').textContent = text;
  field.value = usual ?? ''; field.inputMode = figures ? 'numeric' : 'text';
  field.required = figures && !choices;
  if (figures) { field.pattern = '[0-9]{1,4}'; field.className = 'figures'; } else { field.removeAttribute('pattern'); field.className = 'wide'; }
  field.hidden = Boolean(choices);
  d.querySelector('.acts .main').hidden = Boolean(choices);
  $('choices').innerHTML = (choices || []).map(([value, label]) => `<button value="${value}">${esc(label)}</button>`).join('');
  // A pedal answers no question: the words have the focus, not an answer.
  d.returnValue = 'no'; d.showModal(); if (choices) $('asked').focus(); else field.select();
  return new Promise((done) => d.addEventListener('close', () => { focus(); done(choices ? (d.returnValue === 'no' ? '' : d.returnValue) : d.returnValue === 'yes' ? field.value.trim() : ''); }, { once: true }));
}
// Where the counter's reading leads. The knitter is asked where it stands at several places, or on both sides of what
// the hands do; nothing that the hands do is passed over unasked.
async function led(kind, text) {
  const n = await ask(`${text} ${W.runs}`, true);
  if (!n) return false;
  const at = position(s), every = places(piece, Number(n), at), found = every.filter((k) => kind === 'counter' || k <= at);
  if (every.length && !found.length) { told = w('ahead', { counter: three(Number(n)) }); show(true); return false; }
  let to = found[found.length - 1];
  const part = (k) => T(piece.cues[Math.min(k, piece.cues.length - 1)].p).toLowerCase();
  if (found.length > 1) {
    // The nearest place first.
    found.sort((a, b) => Math.abs(a - at) - Math.abs(b - at));
    const pick = await ask(w('which-place', { counter: three(Number(n)) }), false, '', found.map((k) => [k, w('in-part', { part: part(k) })]));
    if (!pick) return false;
    to = Number(pick);
  }
  told = '';
  if (to !== undefined) {
    let end = to;
    while (end < piece.cues.length && reads(piece, end + 1) === Number(n)) end++;
    const here = handled(piece, to, end), acts = (list) => list.map(({ c, at }) => w('act-at', { act: called(c), counter: three(reads(piece, at)) })).join(', ');
    const passed = at > 0 ? asked(piece, at, to) : [];
    if (here.length && at !== to && (kind === 'counter' || end < at)) {
      const pick = await ask(w('side-of', { act: acts(here), counter: three(Number(n)) }), false, '', [[to, w('side-before')], [here[here.length - 1].at + 1, w('side-after')]]);
      if (!pick) return false;
      to = Number(pick);
    }
    if (kind === 'counter' && passed.length) {
      const pick = await ask(w('passed-over', { acts: acts(passed) }), false, '', [['yes', w('passed-done')], ['not', w('passed-not')]]);
      if (!pick) return false;
      if (pick === 'not') {
        // The counter stands there as soon as what was knitted past it is ripped out.
        const back = passed[0].at, reading = reads(piece, back);
        const done = happened(kind, reading, '', back);
        advice.near = w('passed-so', { counter: three(reading) });
        show(true);
        return done;
      }
    }
  }
  return happened(kind, Number(n), '', to);
}
// Back to counting, at the right place: where only the knitter knows what the counter reads, it is asked for.
async function mended() {
  const asks = ASKS.includes(aid) && !s.apart && !s.stale && !replanned;
  if (['jammed', 'ran-out'].includes(aid) && !s.apart && !s.stale && !replanned) settle(s, piece);
  aid = ''; show();
  if (asks) await led('counter', W.askCounter);
  focus();
}
function help(open) {
  const ribbed = columns(piece, position(s)).all.some((c) => c.bed === 1);
  $('help').querySelector('[data-aid=dropped-ribber]').hidden = !ribbed;
  $('help').hidden = !open; if (open) $('help').querySelector('button').focus(); else focus();
}
// Kept by the browser before they are wanted: a workshop may be away by then.
const pictures = Object.values(piece.fabrics).filter(([k]) => k !== null).map(([k]) => { const i = new Image(); i.src = `/fabrics/${k}`; return i; });
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
    do n = await ask(`${W.askMany} ${most}`, true); while (n !== '' && !(Number(n) >= 1 && Number(n) <= most));
    if (n) happened('made', Number(n));
  },
  pause: () => happened(paused(s) ? 'resume' : 'pause'),
};
for (const b of box.querySelectorAll('[data-do]')) b.onclick = async () => {
  // What is counted must be seen: help is left first.
  if (aid && b.dataset.do !== 'wrong') { aid = ''; show(); }
  await acts[b.dataset.do](); focus();
};
for (const b of $('help').querySelectorAll('[data-aid]')) b.onclick = () => { aid = b.dataset.aid; help(false); show(); };
$('leave').onclick = () => { aid = ''; help(false); show(); };
$('sound-check').onclick = () => { tone(440, 0, 0.16); tone(587, 0.18, 0.22); speak(W.soundCheck, true); };
$('full').onclick = () => { if (document.fullscreenElement) document.exitFullscreen(); else document.documentElement.requestFullscreen(); help(false); };
if ($('knowing')) $('knowing').onclick = () => { $('short').hidden = true; focus(); };
// The reading that each section goes up to by this plan, from the last time the counter was set to where the piece is.
function parts(at) {
  const said = [];
  for (let k = 0; k < at; k++) {
    const cue = piece.cues[k];
    if (cue.h !== undefined) { if (cue.c === 0) said.length = 0; continue; }
    if (said.length && said[said.length - 1].p === cue.p) said[said.length - 1].c = cue.c; else said.push({ p: cue.p, c: cue.c });
  }
  return said.map((x) => w('part-to', { part: T(x.p).toLowerCase(), counter: three(x.c) })).join(', ');
}
// With another plan only the counter shows where the piece is.
$('carry-on').onclick = async () => {
  try {
    const a = await fetch(url + '/carry-on', { method: 'POST' });
    if (!a.ok) return;
    take(await a.json());
    const old = s.apart && s.apart.ours === null ? `${w('apart-old', { counter: three(s.apart.reading) })} ` : '';
    if (old) s.apart = null;
    show(true);
    while (!await led('counter', old + W.askCounter)) { /* it must be known */ }
    advice.bar = w('carried-on', { parts: parts(position(s)) }); show(true);
  } catch { told = W.lost; show(true); }
};
addEventListener('keydown', (e) => {
  if (e.key !== 'Escape' && e.target.closest('input,textarea,select,a,dialog,.help,.apart,.told')) return;
  if (e.repeat) return;
  if ([' ', 'Enter', 'PageDown', 'ArrowRight', 'MediaPlayPause'].includes(e.key)) { e.preventDefault(); done(); }
  if (['Backspace', 'PageUp', 'ArrowLeft'].includes(e.key)) { e.preventDefault(); if (aid) { aid = ''; show(); } else acts.back(); }
  if (e.key === 'Escape' && (aid || !$('help').hidden)) { aid = ''; help(false); show(); }
});
// A finger or a pen on anything but a button leaves the field in hand.
addEventListener('pointerup', () => setTimeout(focus));
addEventListener('resize', () => { thread(); fit(); });
// Without a worker a page that is reloaded while the workshop is away is lost, though its touches never are.
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
  } catch { /* reported at the next touch */ }
}
if (navigator.serviceWorker) {
  navigator.serviceWorker.register('/sw.js').catch(() => { /* this page stays as long as it is open */ });
  navigator.serviceWorker.ready.then((r) => { box.dataset.served = '1'; r.active.postMessage([location.href, ...pictures.map((i) => i.src)]); });
}
// What another device counts is shown here too.
const ears = new EventSource(url + '/stream');
ears.onmessage = (e) => { if (Number(e.data) > s.seq && !busy) fresh(); };
ears.onopen = () => { if (s.queue.length) flush(); else fresh(); };
ears.onerror = () => { if (!alone) { alone = true; show(true); } };
show(true); stayAwake(() => show(true), done); focus();
flush();
box.dataset.ready = '1';
