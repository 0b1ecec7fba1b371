// The design room: forms answered in place, stretches dragged, problems found in the text.
document.documentElement.classList.add('js');
const work = document.getElementById('work');
const told = document.getElementById('told');

let sending = Promise.resolve();
// One after the other: each change is made to what the last one left.
function send(form, body) {
  if (form.dataset.sent) return sending;
  form.dataset.sent = '1';
  sending = sending.then(() => post(form, body)).catch(() => say(work.dataset.lost));
  return sending;
}
function say(text) {
  const p = document.createElement('p');
  p.className = 'told'; p.setAttribute('role', 'alert'); p.textContent = text;
  work.prepend(p);
}

async function post(form, body) {
  const shown = new URLSearchParams(location.search).get('size');
  if (shown && !body.has('size')) body.append('size', shown);
  const focus = document.activeElement && document.activeElement.id;
  const to = form.dataset.revise === '' ? `/d/${encodeURIComponent(work.dataset.name)}/revise` : form.getAttribute('action');
  const answer = await fetch(to, { method: 'POST', headers: { 'x-work': '1' }, body: new URLSearchParams(body) });
  const html = await answer.text();
  if (!answer.ok) {
    delete form.dataset.sent;
    const page = new DOMParser().parseFromString(html, 'text/html');
    say([...page.querySelectorAll('main p')].map((p) => p.textContent).filter((t) => t.length > 12).join(' '));
    return;
  }
  work.innerHTML = html;
  // What is said about a field is shown beside it.
  const wrong = work.querySelector('[aria-invalid=true]');
  const again = wrong || (focus && document.getElementById(focus));
  if (again) again.focus({ preventScroll: !wrong });
  const heading = work.querySelector('#fi');
  if (told && heading && !wrong) told.textContent = heading.textContent;
}

if (work) {
  work.addEventListener('click', (e) => {
    const to = e.target.closest('a[data-to]');
    if (!to) return;
    e.preventDefault();
    document.getElementById('sw').scrollIntoView();
    document.getElementById(to.dataset.to).focus({ preventScroll: true });
  });
  work.addEventListener('submit', (e) => {
    if (!e.target.matches('form[data-work]')) return;
    e.preventDefault();
    send(e.target, new FormData(e.target, e.submitter));
  });
  work.addEventListener('change', (e) => {
    const form = e.target.closest('.fields form[data-work]');
    if (form && form.reportValidity()) send(form, new FormData(form));
  });

  const rowsForm = (grip) => [...work.querySelectorAll('.fields form')].find((f) =>
    f.elements.what.value === grip.dataset.what && f.elements.piece.value === grip.dataset.piece && f.elements.stretch.value === grip.dataset.stretch);
  const set = (grip, rows) => {
    const form = rowsForm(grip);
    if (!form) return;
    form.elements.value.value = Math.max(1, Math.min(2000, rows));
    const name = grip.dataset.stretch, piece = grip.dataset.piece, what = grip.dataset.what;
    send(form, new FormData(form)).then(() => {
      const again = [...work.querySelectorAll('.grip')].find((g) => g.dataset.stretch === name && g.dataset.piece === piece && g.dataset.what === what);
      if (again) again.focus({ preventScroll: true });
    });
  };
  work.addEventListener('keydown', (e) => {
    const grip = e.target.closest && e.target.closest('.grip');
    if (!grip) return;
    const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[e.key];
    if (!by) return;
    e.preventDefault();
    set(grip, Number(grip.getAttribute('aria-valuenow')) + by);
  });
  work.addEventListener('pointerdown', (e) => {
    const grip = e.target.closest && e.target.closest('.grip');
    if (!grip) return;
    e.preventDefault();
    grip.focus();
    grip.setPointerCapture(e.pointerId);
    const scale = grip.ownerSVGElement.getScreenCTM().a;
    const x = grip.dataset.axis === 'x', from = x ? e.clientX : e.clientY, rows = Number(grip.getAttribute('aria-valuenow')), each = Number(grip.dataset.each) * scale;
    const start = grip.getAttribute('transform');
    let now = rows;
    const move = (m) => {
      now = Math.max(1, rows + Math.round((x ? m.clientX - from : from - m.clientY) / each));
      const off = (now - rows) * Number(grip.dataset.each);
      grip.setAttribute('transform', x ? `${start} translate(${off} 0)` : `${start} translate(0 ${-off})`);
      grip.setAttribute('aria-valuetext', String(now));
    };
    const end = () => {
      grip.removeEventListener('pointermove', move);
      if (now !== rows) set(grip, now); else grip.setAttribute('transform', start);
    };
    grip.addEventListener('pointermove', move);
    grip.addEventListener('pointerup', end, { once: true });
    grip.addEventListener('pointercancel', end, { once: true });
  });
}

// A finding's line in the document.
for (const link of document.querySelectorAll('[data-line]')) {
  link.addEventListener('click', (e) => {
    e.preventDefault();
    const text = document.getElementById('text');
    const lines = text.value.split('\n');
    const start = lines.slice(0, link.dataset.line - 1).join('\n').length + (link.dataset.line > 1 ? 1 : 0);
    text.focus();
    text.setSelectionRange(start, start + lines[link.dataset.line - 1].length);
  });
}
