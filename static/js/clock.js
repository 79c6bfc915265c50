// A moment in words: the time by the clock, and the day where it was not today.

export function clock(ms) {
  const moment = new Date(ms);
  const time = moment.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const isToday = moment.toDateString() === new Date().toDateString();
  return isToday ? time : `${time} on ${moment.toLocaleDateString("en-GB", { day: "numeric", month: "long" })}`;
}
