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

// A figure for one person means one person; and one person needs a figure.
const girth = document.getElementById('girth');
if (girth) {
  const who = [...document.querySelectorAll('input[name=who]')];
  const check = () => { girth.required = who.find((r) => r.checked).value === 'one'; };
  girth.oninput = () => { if (girth.value) { who.find((r) => r.value === 'one').checked = true; check(); } };
  for (const r of who) r.onchange = check;
}
