// At the machine. A touch is kept here until the server has it in its journal; sent twice, it counts once.
const box = document.getElementById('cue'), $ = (id) => document.getElementById(id);
const url = box.dataset.work, KEPT = 'latchwork:' + url;
let state = JSON.parse(box.dataset.state), busy = false, wake = null, sound = null;
const queue = JSON.parse(localStorage.getItem(KEPT) || '[]');

const key = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, '0')).join('');

function tone(pitch, when, long) {
  if (!$('clicks').checked) return;
  try {
    sound = sound || new AudioContext();
    const o = sound.createOscillator(), g = sound.createGain(), t = sound.currentTime + when;
    o.frequency.value = pitch; g.gain.setValueAtTime(0.25, t); g.gain.exponentialRampToValueAtTime(0.001, t + long);
    o.connect(g).connect(sound.destination); o.start(t); o.stop(t + long);
  } catch { /* a device without sound */ }
}
function say(text) {
  if (!$('speak').checked || !window.speechSynthesis) return;
  speechSynthesis.cancel();
  const u = new SpeechSynthesisUtterance(text);
  u.lang = 'en'; u.rate = Number($('rate').value);
  speechSynthesis.speak(u);
}
function show(next, quiet) {
  const moved = next.position !== state.position;
  state = next;
  $('now').innerHTML = state.html;
  box.classList.toggle('change', !state.plain && state.position < state.total);
  box.dataset.position = state.position; box.dataset.seq = state.seq;
  $('left').textContent = state.left;
  $('progress').value = state.total ? state.position / state.total : 0;
  $('many').textContent = state.runWords; $('many').hidden = state.run < 2;
  $('pause').textContent = state.paused ? $('pause').dataset.on : $('pause').dataset.off;
  $('replanned').hidden = !state.replanned;
  if ($('journal-words').textContent !== (state.journal || '')) $('journal-words').textContent = state.journal || '';
  $('journal').hidden = !state.journal;
  $('lines').innerHTML = state.log;
  for (const t of $('lines').querySelectorAll('[data-at]')) t.textContent = new Date(Number(t.dataset.at)).toLocaleString();
  if (moved && !quiet) { if (state.plain) tone(660, 0, 0.06); else { tone(440, 0, 0.16); tone(587, 0.18, 0.22); } say(state[$('wording').value]); }
}
// What a page that refuses says.
const words = (html) => [...new DOMParser().parseFromString(html, 'text/html').querySelectorAll('main p:not(:has(a))')].map((p) => p.textContent).join(' ');
function tell(text) { $('lost').textContent = text; $('lost').hidden = !text; }

async function flush() {
  if (!queue.length || busy) return;
  busy = true;
  const first = queue[0];
  let why = box.dataset.lost;
  try {
    // One that follows another of this device's own follows where that led.
    first.seq = first.seq ?? state.seq;
    keep();
    const [to, body] = first.kind === 'carry-on' ? [url + '/carry-on', ''] : [url, new URLSearchParams(first)];
    const answer = await fetch(to, { method: 'POST', body, signal: AbortSignal.timeout(4000) });
    if (answer.status >= 500 || answer.status === 404) { why = words(await answer.text()) || why; throw new Error('not kept'); }
    const next = await answer.json();
    queue.shift();
    // After a refusal nothing that was meant to follow holds.
    if (answer.status !== 200) queue.length = 0;
    keep();
    tell(answer.status === 409 ? box.dataset.late : answer.status === 422 ? `${box.dataset.noCounter} ${state.span}` : '');
    show(next);
  } catch {
    tell(why);
    setTimeout(() => { busy = false; flush(); }, 800);
    return;
  }
  busy = false;
  flush();
}
function keep() { localStorage.setItem(KEPT, JSON.stringify(queue)); }
function happened(kind, n, note) {
  queue.push({ key: key(), kind, n: n === undefined ? '' : String(n), note: note || '' });
  keep();
  flush();
}
const done = () => { if (state.paused) return; if (state.position + queue.length < state.total) happened('made', 1); };
$('touch').onclick = done;
// A question in the page, with room for large figures.
function ask(text, figures, usual, only) {
  const d = $('ask'), field = $('answer');
  $('asked').textContent = text;
  field.value = usual ?? ''; field.inputMode = figures ? 'numeric' : 'text';
  if (figures) { field.pattern = '[0-9]{1,4}'; field.className = 'figures'; } else { field.removeAttribute('pattern'); field.className = 'wide'; }
  field.hidden = Boolean(only);
  d.returnValue = 'no'; d.showModal(); if (!only) field.select();
  return new Promise((done) => d.addEventListener('close', () => done(d.returnValue !== 'yes' ? '' : only ? 'yes' : field.value.trim()), { once: true }));
}
const acts = {
  back: () => happened('back'),
  counter: async () => { const n = await ask(`${box.dataset.askCounter} ${state.span}`, true); if (n) happened('counter', n); },
  ripped: async () => { const n = await ask(`${box.dataset.askRipped} ${state.span}`, true); if (n) happened('ripped', n); },
  note: async () => { const n = await ask(box.dataset.askNote, false); if (n) happened('note', '', [...n].slice(0, 480).join('')); },
  again: async () => { if (await ask(document.querySelector('[data-do=again]').dataset.ask, false, ' ', true)) happened('begin'); },
  many: async () => { const n = await ask(`${box.dataset.askMany} ${state.run}`, true, state.run); if (n) happened('made', n); },
  pause: () => happened(state.paused ? 'resume' : 'pause'),
};
for (const b of box.querySelectorAll('[data-do]')) b.onclick = () => acts[b.dataset.do]();
$('carry-on').onclick = () => happened('carry-on');
addEventListener('keydown', (e) => {
  if (e.target.closest('input,textarea,select,summary,a,dialog') || e.repeat) return;
  const onButton = e.target.closest('button') && e.target.id !== 'touch';
  if ((e.key === ' ' || e.key === 'Enter') && onButton) return;
  if ([' ', 'Enter', 'PageDown', 'ArrowRight', 'MediaPlayPause'].includes(e.key)) { e.preventDefault(); done(); }
  if (['Backspace', 'PageUp', 'ArrowLeft'].includes(e.key)) { e.preventDefault(); acts.back(); }
});
$('full').onclick = () => (document.fullscreenElement ? document.exitFullscreen() : box.requestFullscreen());
async function awake() { try { wake = await navigator.wakeLock.request('screen'); } catch { /* not offered */ } }
document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') { awake(); fresh(); } });
async function fresh() { try { const a = await fetch(url); if (a.ok) show(await a.json(), true); } catch { /* told when it is next touched */ } }
// What another device counts is shown here too.
const ears = new EventSource(url + '/stream');
ears.onmessage = (e) => { if (Number(e.data) > state.seq && !busy) fresh(); };
ears.onopen = () => { if (queue.length) flush(); else fresh(); };
for (const id of ['speak', 'clicks', 'rate', 'wording']) {
  const c = $(id), kept = localStorage.getItem('latchwork:' + id), is = c.type === 'checkbox' ? 'checked' : 'value';
  if (kept !== null) c[is] = is === 'checked' ? kept === 'true' : kept;
  c.onchange = () => localStorage.setItem('latchwork:' + id, String(c[is]));
}
show(state, true); awake();
flush();
box.dataset.ready = '1';
