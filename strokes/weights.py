"""The tuned numbers that decide a verdict besides the tolerances: named, each with a unit and a reason.

Tolerances say how far ink may stray and differ by stage. Weights say how ink is compared and explained before
anything is judged; they are one set for everybody, found by trial on real ink. Sizes of samples and caches
that decide no verdict are where they are used.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Weights:
    """How ink is compared with letters. Lengths in x-heights; costs in squared x-heights a sample.

    A cost is a mean squared distance with the heading in it: 0.04 is ink that is 0.2 x-heights off
    everywhere. The version of the checks (`strokes.checks.checks_version`) covers every field.
    """

    # --- lines, of letters and of ink alike ------------------------------------------------------------

    # A shorter line, in x-heights, is a dot (common practice, no source); the shortest accepted stroke that
    # is none, the tick of a q, has 0.4.
    dot_length: float = 0.35
    # A line whose ends are nearer than this, in x-heights, is a loop, which may be begun anywhere: bowls that
    # start at their stem leave 0.11, open shapes at least 0.5.
    loop_gap: float = 0.15
    # A line has a corner where its direction changes by more than so many degrees: a cusp or a retrace does,
    # an arch or a bowl does not.
    corner_angle: float = 60.0
    # X-heights before and behind a place over which that change is measured.
    corner_reach: float = 0.12

    # --- samples of lines and where a pen may take them ------------------------------------------------

    # Samples a line. On 600 real letters 64 moved no figure of the checks by more than one in a hundred and
    # took nearly twice as long; 24 lost one in a hundred.
    samples: int = 32
    # What a unit of heading weighs against an x-height of distance: backwards is 0.7 x-heights off.
    heading: float = 0.35
    # Places at which a loop is tried to have begun: every 45 degrees.
    loop_starts: int = 8
    # Pieces of a stroke up to which every choice of directions is tried: 3 pieces have 8.
    most_pieces: int = 3
    # A mark whose box has a smaller diagonal, in x-heights, may be a dot, whatever its shape: a tick, a ring.
    mark: float = 0.8
    # Share of the distance aside that a dot keeps when it is laid on its stroke: it may float anywhere above.
    dot_aside: float = 0.5

    # --- fitting ink to a formation --------------------------------------------------------------------

    # Ratio by which the two axes may be scaled apart when ink is fitted: a letter may be narrow or wide.
    stretch: float = 1.35
    # How firmly the two axes are held to one scale, as a share of the ink's spread.
    level: float = 0.1
    # A model whose one side is less than this share of the other is fitted by the long side alone.
    thin: float = 0.2
    # With more strokes or traces than this only one to one is tried: a scribble must not cost seconds.
    most_runs: int = 4
    # How firmly zones, slant and the two scales are held to the plain fit, as a share of the points.
    firm: float = 0.05
    # Share by which the part above the x-height line, or below the base line, may be stretched or pressed.
    zone: float = 0.35
    # How far ink may lean, as a share of its height: about 19 degrees.
    slant: float = 0.35
    # How far a line of writing may rise or fall, as a share of its length: about 9 degrees.
    tilt: float = 0.16
    # Ratios between which the second fit may scale the first one again.
    rescale_least: float = 0.7
    rescale_most: float = 1.4
    # A formation that costs so many times the best one, and this share of a missing stroke more, is not
    # fitted again.
    hopeless: float = 2.0
    hopeless_missing: float = 0.5

    # --- assigning traces to strokes -------------------------------------------------------------------

    # Cost of one stroke or trace too many: 0.36 x-heights off everywhere.
    missing_cost: float = 0.13
    # Cost of each when a stroke and a trace could be paired and are not: a clumsy stroke is still a stroke.
    alone_cost: float = 0.5
    # Cost of a join of two strokes; it is weaker evidence than a lift.
    join_cost: float = 0.06
    # Cost of a run in which one trace, or one stroke, brings nothing: the rest of the run alone fits better.
    idle_cost: float = 0.3
    # A run must cost less than one of its members alone, to this share and by so much, or it is idle.
    idle_share: float = 0.9
    idle_margin: float = 0.01
    # A fit that is larger than another by less than this ratio leaves the letter its size.
    resized: float = 1.3
    # What each square x-height costs by which a member alone begins, or ends, apart from the stroke.
    short_start_cost: float = 0.2
    short_end_cost: float = 0.1
    # Cost of a lift inside a stroke: with equal fits the assignment without a lift is taken.
    lift_cost: float = 0.03
    # Cost of a lift for each square x-height between where the pen went up and where it came down again.
    hop_cost: float = 0.05
    # The same for how far it came down beside where it was going: who lifts in a stroke goes on with it.
    bend_cost: float = 0.4
    # At most so much for one bend: parts may be written in another order.
    most_bend_cost: float = 0.1
    # Samples of a trace that show which direction it had at an end.
    going_samples: int = 4
    # Cosine of the angle, 20 degrees, up to which the pen went straight on over a lift, and how far, in
    # x-heights: a stroke cut in two keeps within it, most marks beside a letter do not.
    straight_on: float = 0.94
    longest_hop: float = 0.6
    # Cost of a trace too many that the pen went straight on from, or into: it looks like a piece of a stroke.
    piece_cost: float = 0.1

    # --- which formation the ink is judged by ----------------------------------------------------------

    # What a finding weighs against warping cost when formations compete: being formed comes first, and who
    # goes the right way and begins late is a little nearer to it than who goes the other way. What is missing
    # is in the warping cost already, and more of what is extra: a stray mark is no stroke. But a clumsy bar
    # in another order is no stray mark.
    start_finding_cost: float = 0.095
    direction_finding_cost: float = 0.1
    order_finding_cost: float = 0.1
    extra_finding_cost: float = 0.055
    lift_finding_cost: float = 0.06
    join_finding_cost: float = 0.06
    # What a stroke weighs that was drawn as another line, or left before its end.
    strayed_cost: float = 0.05
    # What a stroke weighs that was begun behind its first part: more than this share of the way to its first
    # corner has no ink, so that the part is as good as missing.
    skipped_cost: float = 0.05
    skipped_share: float = 0.7
    # What a missing stroke weighs that has ink: the pen took it as a part of another stroke.
    inked_cost: float = 0.2
    # What it weighs if more than this share of a letter's length is missing: an L with a short stem and a
    # wide base is no base without its stem.
    hardly_there: float = 0.67
    hardly_there_cost: float = 0.15
    # A missing stroke has ink if this share of it has ink beside it.
    inked_share: float = 0.5
    # Ink that runs a stroke's direction is ink of a place of it if it is no further aside than this, and no
    # further on, in x-heights: past its end there is none.
    beside: float = 0.25
    onward: float = 0.2
    # Cosine of the angle up to which ink runs a stroke's direction, or against it: 45 degrees.
    parallel: float = 0.7

    # --- direction and order ---------------------------------------------------------------------------

    # The taught traversal must cost this many times the best one, and so much more, before the pen is said
    # to have gone the other way.
    turned: float = 1.5
    turned_margin: float = 0.02
    # Share of the length of a piece that has ink if it was written: what the pen did not write, it did not
    # write last.
    written: float = 0.25

    # --- starts ----------------------------------------------------------------------------------------

    # X-heights along a stroke after which its first direction is plain.
    settled: float = 0.3
    # What counts of a start before the stroke's own, and beside it: the pen still writes all of the stroke.
    early: float = 0.75
    aside: float = 0.5
    # What counts of a start further along a closed loop, which is written all the way round nevertheless.
    late_loop: float = 0.95
    # X-heights of ink within which a hook leads to the start of a curve, so that it counts as begun early.
    # Real digits were judged no other way with 1.0.
    hook: float = 0.7
    # X-heights along a curve within which a start is looked for: further on another part of it may pass by.
    latest: float = 1.3
    # A stem whose top is nearer than this to the x-height line, in x-heights, stands under it.
    on_line: float = 0.1
    # Sine of the angle from which a stroke begins as a stem or a steep slant.
    steep: float = 0.75
    # The same for a line that begins at the top of a tall letter: 20 degrees, as the side of a 6 may slant.
    sinks: float = 0.35
    # A stem longer than this, in x-heights, rises or falls beyond the x-height, and how straight it must be:
    # its height as a share of its length.
    long_stem: float = 1.6
    straight_stem: float = 0.98

    # --- the mirror image and other letters ------------------------------------------------------------

    # Ink that costs less, 0.17 x-heights off, is the letter it was meant for: nothing else is asked.
    good_cost: float = 0.03
    # The same, 0.08 x-heights off, for a whole formation other than the taught: a g that is nearly a q.
    good_variant_cost: float = 0.006
    # What is missing counts against the letter itself if it is more than this share of its length.
    mostly_there: float = 0.5
    # A letter that is nearer to its own mirror image, such as o or x, cannot be seen to be reversed.
    lopsided: float = 0.006
    # A letter of which no place is farther from its mirror image, in x-heights, is its own mirror image.
    symmetric: float = 0.05
    # A mirror image must also look nearer than this share: an o or a w looks the same both ways.
    clearer: float = 0.9
    # Looking nearer than this share is enough: a b for a d need not have been formed as one or the other.
    clear: float = 0.4
    # Following the pen nearer than this share is enough for a mirror image that the eye hardly tells, an e.
    clearly_written: float = 0.35
    # Ink that costs less, 0.28 x-heights off, is not taken for another by its look, nor followed mirrored.
    unlike_cost: float = 0.08
    # So many letters that look nearer than the one asked for are judged as such.
    others_asked: int = 3
    # Another letter must explain the ink this well to be named, or cost less than this share of what the
    # letter itself costs: a scribble is no letter.
    fair_cost: float = 0.12
    fair_share: float = 0.5
    # Ink must look this near to another letter to be taken for it by its look, however it was written; in
    # squares of the letter's size.
    fair_look: float = 0.1
    # A drawing that looks nearer than this to a shape is that shape, in squares of the letter's size.
    same_look: float = 0.003
    # A small letter and its capital whose shapes are nearer to the eye than this are told by their size
    # alone, in squares of the letter's size: l and L have 0.018, slanted 0.021, t and T 0.022, b and B 0.031.
    other_case: float = 0.021
    # The one of the other case must explain ink, or look, this much nearer.
    other_case_share: float = 0.6
    # So much farther, in x-heights, the top and the foot of ink may be from those of the other case than from
    # the letter's own: b and B stand between the same lines.
    same_lines: float = 0.3
    # Ink that looks nearer than this share to the mirror image is that, and no other letter as well.
    plainer: float = 0.75
    # Ink that is nearer than this share to a letter of another set is that, and no other letter of its own:
    # an 8 for a B is no S. So are 14 of 14,430 real letters in place of another, most of them named wrongly.
    of_other_set: float = 0.25

    # --- closure and reach -----------------------------------------------------------------------------

    # Parts of a model that are nearer than this, in x-heights, touch.
    touch: float = 0.08
    # X-heights along a line from its end that cannot be what the end touches.
    around: float = 1.0
    # An end that overshoots by less than this, in x-heights, has touched before.
    overshoot: float = 0.3
    # A smaller enclosed area, in square x-heights, is a loop of the pen, not a counter.
    counter: float = 0.15
    # Share of the distance to the outer line from which a letter has an ascender or a descender.
    tall: float = 0.7

    # --- ink that is not one whole letter --------------------------------------------------------------

    # Ink that costs less, 0.19 x-heights off with the heading in it, is a letter or its beginning.
    near_cost: float = 0.035
    # Step of the shares of a stroke's length at which a child may have stopped.
    stop_step: float = 0.1
    # Ink that is longer, or shorter, by this factor is not what it is compared with.
    longer: float = 1.4
    # Ink that is longer than this share of a formation in as many strokes is no beginning.
    whole: float = 0.9
    # Ink whose lines are shorter than this share of the letter's is taps.
    tapped: float = 0.3
    # Ink that costs more than this, 0.55 x-heights off everywhere, is no attempt at the letter.
    scribble_cost: float = 0.3

    # --- a trace read before its letter is finished ----------------------------------------------------

    # Cost of each stroke more that a trace is read as: the plainer reading wins.
    run_cost: float = 0.01
    # Cost of reading a trace as one half of a stroke.
    half_cost: float = 0.02
    # Cost of reading a letter that stands elsewhere than it was shown, 0.14 x-heights off.
    moved_cost: float = 0.02
    # A shorter piece of a stroke, in x-heights, is not looked for by itself.
    piece: float = 0.5
    # A mark whose box has a smaller diagonal, in x-heights, is a tap: it can only be a dot.
    tap: float = 0.25
    # Cost of a line that is read as a dot, and of a tap that is read as a line.
    no_dot_cost: float = 1.0
    # Cost of a dot for each square x-height below its place or aside of it.
    dot_off_cost: float = 0.1

    # --- a trace under the pen -------------------------------------------------------------------------

    # X-heights of ink from one sample to the next.
    live_step: float = 0.05
    # X-heights of ink before anything is said: pens hook for less when they come down.
    live_soon: float = 0.25
    # At pen-up the taught direction must cost so many times the other, and so much more, to call a trace
    # backwards.
    live_turned: float = 1.2
    live_turned_margin: float = 0.02
    # The same while the pen is down. Looser, more is said soon and taken back at pen-up; tighter, it takes
    # longer. With these 99 in 100 real letters end as they were called.
    live_turned_soon: float = 2.0
    live_turned_soon_margin: float = 0.1
    # Lengths of the stroke after which no more ink is followed.
    live_most: float = 3.0

    # --- which letter ink looks like; the letter's size is 1 -------------------------------------------

    # What a unit of heading weighs against the size of the letter.
    look_heading: float = 0.3
    # Share of the slant that is taken out: some letters are told by theirs, most writers have one for all.
    look_slant: float = 0.6
    # Slant beyond this, in widths a height, is the letter's own: 45 degrees.
    look_steepest: float = 1.0
    # How far narrow and wide letters are brought together: 0 leaves them, 1 makes all of them square.
    look_width: float = 0.2
    # A share of its height, or a line upright would be made as wide as it is tall.
    look_narrowest: float = 1 / 3
    # A mark smaller than this, the larger side of the letter being 1, can be a dot.
    look_small: float = 0.4
    # How far above all the rest it must lie, as a share of the larger side of the letter.
    look_above: float = 0.03
    # Samples that a dot is given, where its length would give it one or two.
    look_dot_samples: int = 4
    # With more traces than this only the order they were written in is followed: 3 have 48 arrangements.
    look_most_arranged: int = 3
    # What following weighs against looking, as written and rearranged. By trial on real ink.
    look_followed: float = 0.1
    look_arranged: float = 0.4
    # Models that look nearest are followed too; the others are taken to be as far as the worst of these. On
    # real ink 24 named as many letters to two in a thousand, in half the time; with most of them followed the
    # letters farther down are measured like the first ones.
    look_models_followed: int = 160


WEIGHTS = Weights()
"""The set that every check uses."""
