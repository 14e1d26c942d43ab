"""Write figures_memory.csv: a memory after practice, by the Python package fsrs 6.3.2, and a
difference in its standard errors, by SciPy 1.16.3.

    pip install fsrs==6.3.2 scipy==1.16.3
    python tests/reference/figures_memory.py > tests/reference/figures_memory.csv

The package counts whole days, so all practice is a whole number of days apart, or within a day.
"""

from datetime import datetime, timedelta, timezone
from importlib.metadata import version

from fsrs import Card, Rating, Scheduler
from scipy import stats

assert version("fsrs") == "6.3.2" and version("scipy") == "1.16.3"
START = datetime(2026, 1, 5, 9, tzinfo=timezone.utc)
# Days since the first time, and how it went: 1 again to 4 easy.
PEOPLE = (
    ((0, 3), (3, 3), (10, 3), (40, 3)),
    ((0, 1), (1, 2), (2, 3), (9, 1), (10, 3), (30, 4)),
    ((0, 4), (20, 4), (200, 1), (201, 3)),
    ((0, 2), (0.01, 3), (0.02, 1), (0.03, 4), (5.03, 2), (300.03, 2)),
)

print("# Made by figures_memory.py with fsrs", version("fsrs"), "and SciPy", version("scipy"))
print("what,person,days,recall,stability,difficulty,known_after_7_days")
scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
for person, times in enumerate(PEOPLE):
    card = Card()
    for days, recall in times:
        at = START + timedelta(days=days)
        card, _ = scheduler.review_card(card, Rating(recall), at)
        known = scheduler.get_card_retrievability(card, at + timedelta(days=7))
        print("memory", person, days, recall, *(f"{v:.12g}" for v in (card.stability, card.difficulty, known)), sep=",")
BEFORE, AFTER = (40, 55, 35, 60, 50), (65, 70, 60, 85, 72)
print("welch", f"{stats.ttest_ind(AFTER, BEFORE, equal_var=False).statistic:.12g}", *[""] * 5, sep=",")
