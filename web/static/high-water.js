// High water: the slider moves the stage; what it puts under water is asked of the server.
const slider = document.querySelector('#slider');
const stage = document.querySelector('#stage');
let asked = 0;

async function show() {
  asked += 1;
  const mine = asked;
  const address = new URL(window.location.href);
  for (const [name, value] of new FormData(stage.form)) address.searchParams.set(name, value);
  const answer = await fetch(address, {credentials: 'same-origin'});
  if (!answer.ok || mine !== asked) return; // a later stage was asked for meanwhile
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const open = Boolean(document.querySelector('#water details[open]'));
  document.querySelector('#water').replaceWith(document.importNode(page.querySelector('#water'), true));
  const details = document.querySelector('#water details');
  if (details) details.open = open;
  window.history.replaceState(null, '', address);
}

if (slider) {
  slider.hidden = false;
  slider.addEventListener('input', () => {
    stage.value = slider.value;
    show();
  });
  stage.addEventListener('change', () => {
    slider.value = stage.value;
  });
}
