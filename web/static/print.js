// Printing: buttons marked data-print print the page; whatever is folded is open on paper.
for (const button of document.querySelectorAll('[data-print]')) {
  button.hidden = false;
  button.addEventListener('click', () => window.print());
}

let opened = [];

window.addEventListener('beforeprint', () => {
  opened = [...document.querySelectorAll('details:not([open]):not(.no-print)')];
  for (const folded of opened) folded.open = true;
});

window.addEventListener('afterprint', () => {
  for (const folded of opened) folded.open = false;
  opened = [];
});
