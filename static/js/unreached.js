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

function whenRefused(event) {
  const { status } = event.detail.xhr;
  if (status === 401 || status === 403) {
    show("That was not accepted.", `You may have been signed out, or your role does not cover it. ${LOST_NOTHING}`, {
      retry: repeat(event.detail),
      signIn: true,
    });
  } else if (status === 404) {
    show("That is not there any more.", `Someone may have put it in the bin. ${LOST_NOTHING}`);
  } else if (status === 413) {
    show("That is too large to send.", LOST_NOTHING);
  } else {
    show("Something broke on the studio’s machine.", LOST_NOTHING, { retry: repeat(event.detail) });
  }
}

// A signed-out person's request is led to the sign-in page: a whole page where a piece was asked for.
function keepPagesOutOfPieces(event) {
  const { xhr, target } = event.detail;
  const isPage = /^\s*(?:<!doctype|<html)/i.test(xhr.responseText.slice(0, 200));
  if (isPage && xhr.status < 400 && target !== document.body && !xhr.getResponseHeader("HX-Reselect")) {
    event.detail.shouldSwap = false;
    show("You have been signed out.", `Sign in in the new tab, then try again here. ${LOST_NOTHING}`, {
      retry: repeat(event.detail),
      signIn: true,
    });
  }
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
document.addEventListener("htmx:beforeSwap", keepPagesOutOfPieces);
document.addEventListener("htmx:afterOnLoad", (event) => {
  if (event.detail.successful) hide();
});
document.addEventListener("submit", holdWhenOffline);
find("close").addEventListener("click", hide);
find("again").addEventListener("click", () => {
  hide();
  again?.();
});
