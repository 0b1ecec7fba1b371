// The rehearsal: every step as the server rehearsed it; nothing is worked out here.
import { beds, name } from '/needles.js';
const $ = (id) => document.getElementById(id);
const box = $('rehearsal'), scrub = $('scrub'), canvas = $('beds');
const data = await (await fetch(box.dataset.steps)).json();
const words = data.words;
canvas.dataset.main = words.main; canvas.dataset.ribber = words.ribber;
// Beds are sent only where they change.
let last = [['', ''], ['', '']];
for (const s of data.steps) { if (s.b) last = s.b; else s.b = last; }
const two = data.steps.some((s) => /[jvt]/.test(s.b[1][0]));
for (const s of data.steps) s.two = two;
const cueOf = new Array(data.steps.length);
data.cues.forEach((c) => { for (let i = c.from; i < c.to; i++) cueOf[i] = c; });
const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
let at = 0, timer = 0, drawn = -1, want = 0;

function show() {
  const s = data.steps[at], cue = cueOf[at];
  const way = cue && cue.way ? (s.s ? 1 : 0) : s.s;
  if (timer && !still && at > 0 && cue && cue.way) cross(s, way); else beds(canvas, data.first, s, way);
  $('count').textContent = String(s.c).padStart(3, '0');
  $('does').textContent = cue ? [cue.way, cue.text].filter(Boolean).join('. ').replace(/^./, (l) => l.toUpperCase()) : '';
  $('where').textContent = cue ? [cue.part, cue.row].filter(Boolean).join(', ') : '';
  $('nth').textContent = `${words.step} ${at + 1} ${words.of} ${data.steps.length}`;
  scrub.value = at;
  scrub.setAttribute('aria-valuetext', `${words.step} ${at + 1}, ${$('count').textContent}. ${$('does').textContent}`);
  const used = (b) => [...b[0]].map((p, i) => (p === '.' ? null : data.first + i)).filter((v) => v !== null);
  const span = (b, w) => { const u = used(b); return u.length ? `${w} ${name(u[0])} ${words.to} ${name(u[u.length - 1])}: ${u.length}` : ''; };
  $('text-beds').textContent = [span(s.b[0], words.main), span(s.b[1], words.ribber), s.s ? words.right : words.left, s.h ? words.half : words.full, s.r ? `${words.rack} ${s.r}` : '', `${s.g} ${words.hang}`].filter(Boolean).join(' · ');
  $('grown').style.clipPath = `inset(${(100 * (1 - s.y)).toFixed(2)}% 0 0 0)`;
  drawn = at;
}
// The carriage crosses while the rehearsal runs.
function cross(s, way) {
  const here = at, old = data.steps[at - 1].b, begun = performance.now();
  const draw = (now) => {
    if (at !== here) return;
    const t = Math.min(1, (now - begun) / 320);
    beds(canvas, data.first, s, way, t < 1 ? { t, old } : undefined);
    if (t < 1) requestAnimationFrame(draw);
  };
  draw(begun);
}
function frame() { if (want !== drawn) { at = want; show(); } }
function go(n) { want = Math.max(0, Math.min(data.steps.length - 1, n)); requestAnimationFrame(frame); }
function stop() { clearInterval(timer); timer = 0; $('run').textContent = $('run').dataset.run; }
$('run').onclick = () => {
  if (timer) return stop();
  if (at >= data.steps.length - 1) go(0);
  $('run').textContent = $('run').dataset.stop;
  timer = setInterval(() => { if (at >= data.steps.length - 1) return stop(); go(at + 1); }, still ? 900 : 340);
};
$('back').onclick = () => { stop(); go(at - 1); };
$('on').onclick = () => { stop(); go(at + 1); };
scrub.max = data.steps.length - 1;
scrub.oninput = () => { stop(); go(Number(scrub.value)); };
$('go').onchange = () => {
  const c = Number($('go').value), is = (s) => s.c === c;
  // Looked for from here on first: a counter that was set back reads the same twice.
  const on = data.steps.findIndex((s, i) => i > at && is(s)), i = on >= 0 ? on : data.steps.findIndex(is);
  if (i >= 0) { stop(); go(i); }
  $('go').setCustomValidity(i >= 0 ? '' : words.none); $('go').reportValidity();
};
$('next-finding').disabled = !data.found.length;
$('next-finding').onclick = () => { stop(); const f = data.found.find((x) => x.step > at) || data.found[0]; if (f) go(f.step); };
const NS = 'http://www.w3.org/2000/svg';
for (const f of data.found) {
  const flag = (label) => { const svg = document.createElementNS(NS, 'svg'), use = document.createElementNS(NS, 'use'); use.setAttribute('href', '#f-' + f.level); svg.append(use); if (label) { svg.setAttribute('role', 'img'); svg.setAttribute('aria-label', f.level); } else svg.setAttribute('aria-hidden', 'true'); return svg; };
  const mark = flag(false);
  mark.style.left = `calc(${(100 * f.step) / data.steps.length}% - 4px)`;
  $('flags').append(mark);
  const div = document.createElement('div'), inner = document.createElement('div'), p = document.createElement('p'), b = document.createElement('strong'), go1 = document.createElement('button');
  div.className = 'finding';
  b.textContent = `${f.counter}: ${f.what} `;
  p.append(b, f.why + ' ' + f.hint);
  go1.className = 'remedy'; go1.textContent = `${words.step} ${f.step + 1}`; go1.onclick = () => { stop(); go(f.step); };
  inner.append(p, go1); div.append(flag(true), inner); $('found').append(div);
}
addEventListener('resize', () => { canvas.width = 0; show(); });
document.fonts.ready.then(() => go(Number(box.dataset.at || 0)));
box.dataset.ready = '1';
