// The cloth of a piece: nearer and farther, either side, down to a single loop; a loop leads to the pass that made it.
const views = new WeakMap();
function view(figure) {
  if (!views.has(figure)) views.set(figure, { left: 0, top: 0, wide: 1, side: 'public' });
  return views.get(figure);
}
const query = (v) => `left=${v.left.toFixed(5)}&top=${v.top.toFixed(5)}&wide=${v.wide.toFixed(5)}`;
function draw(figure) {
  const v = view(figure), img = figure.querySelector('img');
  v.wide = Math.min(1, Math.max(0.01, v.wide));
  v.left = Math.min(1 - v.wide, Math.max(0, v.left));
  v.top = Math.min(1 - v.wide, Math.max(0, v.top));
  if (!img.style.aspectRatio) img.style.aspectRatio = img.naturalWidth / img.naturalHeight;
  const near = v.wide < 0.999;
  figure.classList.toggle('near', near);
  img.src = `${figure.dataset.cloth}/${v.side}.png?${query(v)}&across=900`;
}
function zoom(figure, by, x = 0.5, y = 0.5) {
  const v = view(figure), wide = Math.min(1, Math.max(0.01, v.wide * by));
  v.left += (v.wide - wide) * x;
  v.top += (v.wide - wide) * y;
  v.wide = wide;
  draw(figure);
}
async function pass(figure, x, y) {
  const v = view(figure), path = figure.dataset.cloth;
  const answer = await fetch(`${path.replace('/cloth/', '/loop/')}/${v.side === 'back' ? 'back' : 'public'}?${query(v)}&x=${x}&y=${y}`);
  const { step } = await answer.json();
  const [, name, size, piece] = path.match(/\/d\/([^/]+)\/cloth\/([^/]+)\/(\d+)/);
  if (step !== null) location.href = `/d/${name}/rehearse?size=${size}&piece=${piece}&at=${step}`;
}
// Where in the picture a pointer is, as shares from its left and top; the picture may not fill its box.
function place(img, e) {
  const box = img.getBoundingClientRect(), ratio = img.naturalWidth / img.naturalHeight;
  let [w, h] = [box.width, box.height];
  if (w / h > ratio) w = h * ratio; else h = w / ratio;
  return [(e.clientX - box.left) / w, (e.clientY - box.top - (box.height - h) / 2) / h];
}
const ready = () => { for (const acts of document.querySelectorAll('figure.cloth .acts')) acts.hidden = false; };
ready();
new MutationObserver(ready).observe(document.getElementById('work'), { childList: true });
document.addEventListener('click', (e) => {
  const button = e.target.closest && e.target.closest('[data-cloth-do]');
  if (button) {
    const figure = button.closest('figure'), v = view(figure), step = 0.35 * v.wide;
    const does = {
      in: () => zoom(figure, 0.4), out: () => zoom(figure, 2.5),
      left: () => { v.left -= step; draw(figure); }, right: () => { v.left += step; draw(figure); },
      up: () => { v.top -= step; draw(figure); }, down: () => { v.top += step; draw(figure); },
      turn: () => { v.side = v.side === 'back' ? 'public' : 'back'; v.left = 1 - v.left - v.wide; const words = button.firstChild.nodeValue; button.firstChild.nodeValue = button.dataset.back; button.dataset.back = words; draw(figure); },
      pass: () => pass(figure, 0.5, 0.5),
    };
    does[button.dataset.clothDo]();
    return;
  }
  const img = e.target.closest && e.target.closest('figure.cloth img');
  if (!img) return;
  const figure = img.closest('figure'), [x, y] = place(img, e);
  if (x < 0 || x > 1 || y < 0 || y > 1) return;
  if (view(figure).wide > 0.2) zoom(figure, 0.14 / view(figure).wide, x, y); else pass(figure, x, y);
});
document.addEventListener('wheel', (e) => {
  const img = e.target.closest && e.target.closest('figure.cloth img');
  if (!img || !e.ctrlKey) return;
  e.preventDefault();
  zoom(img.closest('figure'), e.deltaY < 0 ? 0.7 : 1.43, ...place(img, e));
}, { passive: false });
