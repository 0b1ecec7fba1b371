// How this device speaks and sounds, kept on it. The page at the machine reads it; the room of the design sets it.
export function chosen(id, usual) {
  const kept = stored('latchwork:' + id);
  return kept === null ? usual : kept;
}
function stored(name) { try { return localStorage.getItem(name); } catch { return null; } }
// Light, dark or high contrast, as chosen on this device.
const theme = stored('latchwork:theme');
if (theme) document.documentElement.dataset.theme = theme;
let sound = null;
export function tone(pitch, when, long) {
  if (chosen('clicks', 'true') !== 'true') return;
  try {
    sound = sound || new AudioContext();
    const o = sound.createOscillator(), g = sound.createGain(), t = sound.currentTime + when;
    o.frequency.value = pitch; g.gain.setValueAtTime(0.25, t); g.gain.exponentialRampToValueAtTime(0.001, t + long);
    o.connect(g).connect(sound.destination); o.start(t); o.stop(t + long);
  } catch { /* a device without sound */ }
}
export function speak(text, always) {
  if (!window.speechSynthesis || (!always && chosen('speak', 'false') !== 'true')) return;
  speechSynthesis.cancel();
  const u = new SpeechSynthesisUtterance(text);
  u.lang = document.documentElement.lang; u.rate = Number(chosen('rate', '1'));
  speechSynthesis.speak(u);
}
for (const id of ['speak', 'clicks', 'rate', 'wording', 'card']) {
  const c = document.getElementById(id);
  if (!c) continue;
  const is = c.type === 'checkbox' ? 'checked' : 'value', kept = stored('latchwork:' + id);
  if (kept !== null) c[is] = is === 'checked' ? kept === 'true' : kept;
  const wide = () => { if (id === 'card') document.getElementById('bank').style.width = c.value + 'px'; };
  c.oninput = wide; wide();
  c.onchange = () => { try { localStorage.setItem('latchwork:' + id, String(c[is])); } catch { /* nothing is kept on this device */ } };
}
const check = document.getElementById('sound-check');
if (check && check.dataset.says) check.onclick = () => { tone(440, 0, 0.16); tone(587, 0.18, 0.22); speak(check.dataset.says, true); };
