"""What the class sees on the big screen while its teacher leads: heard, counted, written along, read.

In come items alone: letters, words and rhyme rounds with their letterforms, and how things are said; out come
the items that were begun. The room stands below the record and knows no child: who calls it reads the plan,
closes the record, and hands in what is to be shown.

- One key steps on, one back; a turn is a sound, a stroke, or what else is done at once. Nothing goes on to
  the next turn by itself: the teacher sees the class, and the program does not.
- Her own ink on the paper stands for a stroke of the pen; it is neither judged nor kept.
- Sizes and colors are those that the last row can see (`from_afar`), and not those of practice.
"""

from trainer.wall.items import (
    Item,
    Planned,
    WallLetter,
    WallRhymes,
    WallWord,
    planned_items,
    typed_items,
)
from trainer.wall.opening import open_wall, show

__all__ = [
    "Item",
    "Planned",
    "WallLetter",
    "WallRhymes",
    "WallWord",
    "open_wall",
    "planned_items",
    "show",
    "typed_items",
]
