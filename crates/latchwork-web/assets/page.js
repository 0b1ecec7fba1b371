// Light, dark or high contrast, as chosen on this device.
const theme = localStorage.getItem('latchwork:theme');
if (theme) document.documentElement.dataset.theme = theme;
const row = document.querySelector('.theme');
row.hidden = false;
for (const b of row.querySelectorAll('button')) {
  const is = b.dataset.themeIs;
  b.setAttribute('aria-pressed', String((theme || '') === is));
  b.onclick = () => {
    if (is) { localStorage.setItem('latchwork:theme', is); document.documentElement.dataset.theme = is; } else { localStorage.removeItem('latchwork:theme'); delete document.documentElement.dataset.theme; }
    for (const o of row.querySelectorAll('button')) o.setAttribute('aria-pressed', String(o === b));
    dispatchEvent(new Event('resize'));
  };
}
