// Needles drawn on a canvas: by shape alone, as the page explains. Main bed above, ribber below.
export const name = (slot) => (slot < 0 ? 'L' + -slot : 'R' + (slot + 1));

// `move` is how far the carriage has come across, from 0 to 1, and the beds as they were before it.
export function beds(canvas, first, frame, way, move) {
  const [[mp, ml], [rp, rl]] = frame.b;
  const n = mp.length, dpr = window.devicePixelRatio || 1;
  const room = canvas.parentElement.clientWidth || 1000;
  // The carriage stands beside the needles, never over them.
  const side = 96, p = Math.max(8, Math.min(30, (room - 84 - 2 * side) / (n + 1)));
  const width = 84 + 2 * side + p * (n + 1), height = 236;
  if (canvas.width !== Math.round(width * dpr)) { canvas.width = Math.round(width * dpr); canvas.height = height * dpr; canvas.style.width = width + 'px'; canvas.style.height = height + 'px'; }
  const c = canvas.getContext('2d'), css = getComputedStyle(canvas);
  const ink = css.getPropertyValue('--tar'), dye = css.getPropertyValue('--oilskin'), sheet = css.getPropertyValue('--sheet'), peat = css.getPropertyValue('--peat');
  c.setTransform(dpr, 0, 0, dpr, 0, 0);
  c.clearRect(0, 0, width, height);
  c.strokeStyle = ink; c.fillStyle = ink; c.lineCap = 'round';
  const k = Math.min(1, p / 22), top = 52, bottom = 178, half = frame.h ? p / 2 : 0;
  const x = (i, ribber) => 84 + side + p * (i + 0.5) + (ribber ? half + frame.r * (frame.h ? p : p) : 0);
  const line = (w, ...pts) => { c.lineWidth = w; c.beginPath(); c.moveTo(pts[0], pts[1]); for (let i = 2; i < pts.length; i += 2) c.lineTo(pts[i], pts[i + 1]); c.stroke(); };
  const begin = 84 + side - 10, end = width - side + 10;
  line(4.5, begin, top, end, top);
  const two = frame.two;
  if (two) { line(1.4, begin, bottom - 2, end, bottom - 2); line(1.4, begin, bottom + 2, end, bottom + 2); }
  c.font = 'italic 15px "Libertinus Serif", Georgia, serif'; c.fillStyle = peat;
  c.fillText(canvas.dataset.main || 'main', 0, top + 5); if (two) c.fillText(canvas.dataset.ribber || 'ribber', 0, bottom + 5);
  const needle = (px, y, d, pos, mark) => {
    c.strokeStyle = ink; c.fillStyle = ink;
    if (pos === '.') { line(1.6, px, y - d * 10, px, y - d * 6); return; }
    const end = y + d * { j: 23, v: 34, t: 46 }[pos];
    line(1.9, px, y - d * 10, px, end);
    if (pos === 'j') line(1.9, px, end, px + 4 * k, end + d * 3, px + 5 * k, end - d * 2);
    if (pos === 'v') line(2.2, px - 5 * k, end - d * 6, px, end, px + 5 * k, end - d * 6);
    if (pos === 't') line(2.8, px - 5 * k, end, px + 5 * k, end);
    const fresh = mark >= 'a', loops = fresh ? mark.charCodeAt(0) - 97 : Number(mark);
    for (let i = 0; i < Math.min(loops, 2); i++) {
      const hot = fresh && i === Math.min(loops, 2) - 1;
      c.beginPath(); c.ellipse(px, y + d * (6.5 + i * 7.5), 6 * k, 3.1 * Math.max(k, 0.7), 0, 0, 7);
      c.fillStyle = hot ? dye : sheet; c.fill(); c.lineWidth = 1.5; c.stroke();
      if (!hot) line(1.9, px, y + d * (5 + i * 7.5), px, y + d * (8 + i * 7.5));
    }
    if (loops > 2) { c.fillStyle = ink; c.font = '11px serif'; c.fillText(String(loops), px + 6 * k, y + d * 14 + 4); }
  };
  const long = 64, y0 = 12, y1 = bottom + 40, mid = (top + bottom) / 2, ends = [98, width - long - 22];
  const at = move ? ends[1 - way] + (ends[way] - ends[1 - way]) * move.t : ends[frame.s ? 1 : 0];
  // What the carriage has not reached yet is as it was.
  const done = (px) => !move || (way === 1 ? px < at + long / 2 : px > at + long / 2);
  for (let i = 0; i < n; i++) {
    const [m, r] = [x(i, false), x(i, true)];
    if (done(m)) needle(m, top, 1, mp[i], ml[i]); else needle(m, top, 1, move.old[0][0][i], move.old[0][1][i].replace(/[a-z]/, (l) => String(l.charCodeAt(0) - 97)));
    if (two) { if (done(r)) needle(r, bottom, -1, rp[i], rl[i]); else needle(r, bottom, -1, move.old[1][0][i], move.old[1][1][i].replace(/[a-z]/, (l) => String(l.charCodeAt(0) - 97))); }
    const s = first + i, fifth = s < 0 ? s % 5 === 0 : (s + 1) % 5 === 0;
    if (fifth || s === -1 || s === 0) { c.fillStyle = ink; c.font = '14px "Libertinus Serif", Georgia, serif'; c.textAlign = 'center'; if (p * 5 > 60 || s % 2) c.fillText(name(s), x(i, false), top - 18); c.textAlign = 'start'; }
  }
  // The carriage: a hull whose bow points the way it went, the counter in it.
  const bow = way === 0 ? [at - 20, at] : [at + long + 20, at + long];
  c.beginPath();
  c.moveTo(bow[0], mid); c.lineTo(bow[1], y0); c.lineTo(way === 0 ? at + long : at, y0); c.lineTo(way === 0 ? at + long : at, y1); c.lineTo(bow[1], y1); c.closePath();
  c.globalAlpha = 0.88; c.fillStyle = sheet; c.fill(); c.globalAlpha = 1; c.lineWidth = 3; c.strokeStyle = ink; c.stroke();
  c.fillStyle = ink; c.font = '30px "Libertinus Serif", Georgia, serif'; c.textAlign = 'center';
  c.fillText(String(frame.c).padStart(3, '0'), at + long / 2, mid + 10); c.textAlign = 'start';
}
