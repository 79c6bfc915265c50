// Says so when a request fails, and that nothing typed is lost; offers to try again.

const notice = document.getElementById("unreached");
const find = (part) => notice.querySelector(`[data-unreached-${part}]`);
const LOST_NOTHING = "Nothing you typed is lost; it is still on this page.";
let again = null;

function show(words, more, { retry = null, signIn = false } = {}) {
  find("words").textContent = words;
  find("more").textContent = more;
  again = retry;
  find("again").hidden = !retry;
  find("sign-in").hidden = !signIn || !find("sign-in").getAttribute("href");
  notice.hidden = false;
}

const hide = () => {
  notice.hidden = true;
};

// The same gesture once more, on the element that made the request.
function repeat({ elt, requestConfig }) {
  const gesture = requestConfig?.triggeringEvent?.type;
  return gesture && elt.isConnected ? () => window.htmx.trigger(elt, gesture) : null;
}

function whenUnreached(event) {
  show("That did not reach the studio’s machine.", LOST_NOTHING, { retry: repeat(event.detail) });
}

// What a refused request says: the words, what follows from them, and whether trying again can help.
function refusal(status) {
  if (status < 400) return ["You have been signed out.", `Sign in in the new tab, then try again here. ${LOST_NOTHING}`];
  if (status === 404) return ["That is not there any more.", `Someone may have put it in the bin. ${LOST_NOTHING}`];
  if (status === 413) return ["That is too large to send.", LOST_NOTHING];
  if (status === 401 || status === 403) {
    return ["That was not accepted.", `You may have been signed out, or your role does not cover it. ${LOST_NOTHING}`];
  }
  if (status === 507) return ["The studio’s disk is full.", `Nothing was kept. Tell the keeper to make room. ${LOST_NOTHING}`];
  if (status === 503) return ["The studio’s database does not answer just now.", `Nothing was kept. Try again in a moment. ${LOST_NOTHING}`];
  return ["Something broke on the studio’s machine.", LOST_NOTHING];
}

function whenRefused(event) {
  const { status } = event.detail.xhr;
  const [words, more] = refusal(status);
  const isFinal = status === 404 || status === 413;
  const signIn = status < 400 || status === 401 || status === 403;
  show(words, more, { retry: isFinal ? null : repeat(event.detail), signIn });
}

// A signed-out person's request is led to the sign-in page, which is no answer to what was asked.
function keepSignInOutOfThePage(event) {
  const { xhr, target } = event.detail;
  const signIn = find("sign-in");
  const arrivedAt = xhr.responseURL && new URL(xhr.responseURL).pathname;
  if (!signIn.getAttribute("href") || arrivedAt !== signIn.pathname || location.pathname === signIn.pathname) return;
  if (target === document.body) return;
  event.detail.shouldSwap = false;
  event.detail.isError = true;
}

// A plain form sent without a network would leave for the browser's error page; hold it here instead.
const isHere = ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);
function holdWhenOffline(event) {
  if (isHere || navigator.onLine || event.defaultPrevented) return;
  event.preventDefault();
  show("There is no network.", `${LOST_NOTHING} Send it again when the network is back.`, {
    retry: () => event.target.requestSubmit(event.submitter),
  });
}

document.addEventListener("htmx:sendError", whenUnreached);
document.addEventListener("htmx:timeout", whenUnreached);
document.addEventListener("htmx:responseError", whenRefused);
document.addEventListener("htmx:beforeSwap", keepSignInOutOfThePage);
document.addEventListener("htmx:afterOnLoad", (event) => {
  if (event.detail.successful) hide();
});
document.addEventListener("submit", holdWhenOffline);
find("close").addEventListener("click", hide);
find("again").addEventListener("click", () => {
  hide();
  again?.();
});
