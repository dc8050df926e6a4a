"""The day on which a command is given, for stories that are lived day by day."""
import datetime

WRITING = ("follow", "checkin", "dialed", "moved", "gone", "undo")


def date_asked_for(words):
    """The value of --date; None where there is none, or it is no date."""
    words = [str(word) for word in words]
    if "--date" not in words[:-1]:
        return None
    try:
        return datetime.date.fromisoformat(words[words.index("--date") + 1]).isoformat()
    except ValueError:
        return None


class Clock:
    """SLOWDAWN_TODAY in a folder. An entry is written on the day of which it speaks, or on the
    day of the newest one if that is later; whoever asks about a day asks on it, if it has not
    passed."""

    def __init__(self, today):
        self.today = str(today)

    def environment(self, words):
        day = max(self.today, date_asked_for(words) or self.today)
        if words and words[0] in WRITING:
            self.today = day
        return {"SLOWDAWN_TODAY": day}
