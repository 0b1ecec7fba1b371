// The cloth of a piece: touched, it comes nearer; a loop touched there leads to the pass that made it.
const NEAR = 0.14;
document.addEventListener('click', async (e) => {
  const img = e.target.closest && e.target.closest('figure.cloth img');
  if (!img) return;
  const figure = img.closest('figure'), path = figure.dataset.cloth;
  const box = img.getBoundingClientRect();
  // The picture may not fill its box.
  const ratio = img.naturalWidth / img.naturalHeight;
  const near = figure.classList.contains('near');
  let [w, h] = [box.width, box.height];
  if (!near) { if (w / h > ratio) w = h * ratio; else h = w / ratio; }
  const x = (e.clientX - box.left) / w, y = (e.clientY - box.top - (near ? 0 : (box.height - h) / 2)) / h;
  if (x < 0 || x > 1 || y < 0 || y > 1) return;
  if (!near) {
    const wide = NEAR, left = Math.min(1 - wide, Math.max(0, x - wide / 2)), top = Math.min(1 - wide, Math.max(0, y - wide / 2));
    figure.dataset.view = `left=${left}&top=${top}&wide=${wide}`;
    figure.dataset.whole = img.src;
    img.style.aspectRatio = ratio;
    img.src = `${path}/public.png?${figure.dataset.view}&across=900`;
    figure.classList.add('near');
    return;
  }
  const answer = await fetch(`${path.replace('/cloth/', '/loop/')}/public?${figure.dataset.view}&x=${x}&y=${y}`);
  const { step } = await answer.json();
  const [, name, size, piece] = path.match(/\/d\/([^/]+)\/cloth\/([^/]+)\/(\d+)/);
  if (step !== null) location.href = `/d/${name}/rehearse?size=${size}&piece=${piece}&at=${step}`;
});
document.addEventListener('keydown', (e) => {
  if (e.key !== 'Escape') return;
  for (const figure of document.querySelectorAll('figure.cloth.near')) {
    figure.classList.remove('near');
    figure.querySelector('img').src = figure.dataset.whole;
  }
});
