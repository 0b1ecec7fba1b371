// Keeps the screen on: by the browser's wake lock where it has one, and on a plain address by an empty film with a
// silent sound track, as large as the page and started by the first touch (a page may not start it by itself).
let lock = null, film = null, plays = false, stops = 0, told = () => {}, pressed = () => {};
export const awake = () => lock !== null || plays;
// `changed` is told when that changes; `media` is called for a pedal or headset that sends play, which a film would take.
export async function stayAwake(changed, media) {
  told = changed || told; pressed = media || pressed;
  if (lock) return;
  if (navigator.wakeLock) {
    try {
      lock = await navigator.wakeLock.request('screen');
      lock.addEventListener('release', () => { lock = null; told(); if (document.visibilityState === 'visible') stayAwake(); });
      told();
      return;
    } catch { /* no wake lock here: the film may do */ }
  }
  if (film) play(); else await filmed();
}
async function filmed() {
  film = document.createElement('video');
  const kind = film.canPlayType('video/mp4; codecs="avc1.42E01E, mp4a.40.2"') ? 'mp4' : 'webm';
  try {
    const answer = await fetch(`/awake.${kind}`);
    if (!answer.ok) throw new Error(answer.statusText);
    // Loaded whole, so that it plays on when the workshop is away.
    film.src = URL.createObjectURL(await answer.blob());
  } catch { film = null; return; }
  Object.assign(film, { className: 'awake', playsInline: true, tabIndex: -1, ariaHidden: 'true', disableRemotePlayback: true });
  // At its end it would let the screen go; looped by the browser it may count as short. So it is wound back.
  film.ontimeupdate = () => { if (film.currentTime > 12) film.currentTime = Math.random(); };
  film.onplaying = () => {
    plays = true; told();
    for (const key of navigator.mediaSession ? ['play', 'pause'] : []) navigator.mediaSession.setActionHandler(key, pressed);
  };
  // Stopped by other sound of the device: once more at the next touch, and no more after that.
  film.onpause = () => { plays = false; if (document.visibilityState === 'visible') stops++; told(); };
  document.body.append(film);
  for (const touch of ['pointerup', 'keydown']) addEventListener(touch, play);
}
function play() { if (film && !plays && !lock && stops < 3) film.play().catch(() => told()); }
