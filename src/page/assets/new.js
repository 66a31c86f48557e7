// A formula is begun: each form is sent as it is, and what was not sure of a table is told before the way goes on.

import { ask, element, prose } from './ask.js';

const notice = document.getElementById('notice');
const made = document.getElementById('made');

function say(words) {
  notice.className = 'said notice error';
  notice.replaceChildren(prose(words));
  notice.hidden = words === '';
  if (words !== '') notice.scrollIntoView({ block: 'nearest' });
}

function list(title, items) {
  return [element('h3', '', title), element('ul', '', ...items.map((words) => element('li', '', prose(words))))];
}

function tell({ address, file, brought }) {
  const on = element('a', 'button first', 'Go to the formula');
  on.href = address;
  const heading = element('h2', '', 'Brought in');
  heading.tabIndex = -1;
  const unsure = brought.unsure.map(({ line, says }) => (line === 0 ? says : `Line ${line}: ${says}`));
  made.replaceChildren(
    heading,
    element('p', '', prose(`It stands in \`${file}\`.`)),
    ...list('How it was read', brought.told),
    ...(unsure.length > 0 ? list('Not sure, and marked in the text', unsure) : []),
    element('p', '', on),
  );
  made.hidden = false;
  heading.focus();
}

for (const form of document.querySelectorAll('form[data-how]')) {
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    say('');
    const button = form.querySelector('button[type=submit]');
    button.disabled = true;
    try {
      const answer = await ask('/new', { how: form.dataset.how, ...Object.fromEntries(new FormData(form)) });
      if (answer.brought) tell(answer);
      else location.assign(answer.address);
    } catch (error) {
      say(error.message);
    } finally {
      button.disabled = false;
    }
  });
}
