"""Every word that stands on paper and is not in a vehicle's description, in one place.

A paper is put together in English. All that stands on it, these words and the sentences of
planner and logbook, is told again where it is typeset (`Words.respell`), in the language or the
words of the trade that are wanted. Nothing before that knows which language is printed.
"""

from dataclasses import dataclass

from putback.language import ENGLISH as IN_ENGLISH
from putback.language import reteller
from putback.paper.terms import Terms, american


class Own(str):
    """What a person called something: it is told in no other language."""

    __slots__ = ()


class Written(str):
    """A sentence that a person wrote: told where rows have all of it, and never by halves."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Words:
    """The words of papers; ``{...}`` stands for what is put in.

    What is put in where a paper is typeset has the name that the catalogue gives it.
    """

    language: str = IN_ENGLISH
    """ISO 639-1 code: in which language all of it is told."""

    # -- tags --
    and_more: str = "and {n} more"
    empty: str = "nothing known in it"
    made_on: str = "tagged {day}"
    from_zone: str = "from the zone {zone}"
    blank_what: str = "What"
    blank_from: str = "Where from"
    blank_side: str = "Side"
    blank_date: str = "Date"
    left: str = "left"
    right: str = "right"

    # -- red tags --
    not_torqued: str = "NOT TORQUED"
    not_torqued_why: str = "Finger tight or nipped only. Take this off when it is tightened."
    not_for_the_road: str = "NOT FOR THE ROAD"
    not_for_the_road_why: str = (
        "Something is left undone. Take this off when it is done and checked."
    )
    red_what: str = "What"
    red_needs: str = "Needs"
    red_who: str = "Who, when"

    # -- the frame of cards and lists --
    printed_on: str = "as it was on {day}"
    page_of: str = "page {n} of {n_of}"
    critical: str = "CRITICAL"
    done_by: str = "done by, when"
    checked_by: str = "checked by a second person, when"

    # -- work cards --
    cards_strip: str = "Work cards: strip to {goal}"
    cards_rebuild: str = "Work cards: rebuild"
    sitting: str = "sitting"
    of_sittings: str = "of {n}"
    any_standing: str = "As it stands"
    one_job: str = "1 job"
    jobs: str = "{n} jobs"
    about_long: str = "about {duration}"
    stand_first: str = "Stand it so first."
    bears: str = "What bears on what"
    rock_it: str = "Rock it and look underneath before anybody goes there."
    tools: str = "Lay out"
    have: str = "Have ready"
    one_bag: str = "1 empty bag with a tag"
    bags: str = "{n} empty bags, each with a tag"
    fetch: str = "Fetch, in the order of the shelves"
    before_standing: str = "Not done yet, and worse once it stands so:"
    people: str = "{n} people"
    first: str = "first"
    holds: str = "holds"
    tool: str = "tool"
    torque: str = "torque"
    then: str = "then"
    from_bags: str = "out of"
    into_bag: str = "into bag"
    from_page_before: str = "(from the page before)"
    note: str = "note"
    not_yet: str = "NOT YET tight."
    nip_only: str = "Nip it only; for good {when}."
    prop_first: str = "Prop first: {what}"
    add_support: str = "Add: {what}"
    mark: str = "mark: {what}"
    way: str = "way"
    sketch: str = "sketch"
    unsure: str = "dashed: where the parts come in the stack is not described"
    close: str = "close: {what}"
    renew: str = "have new: {what}"
    take_out: str = "take out: {what}"
    waits_for: str = "not here yet: {what}"
    makers_data: str = (
        "Computed and described figures are guide values: the maker's data and local rules win. "
        "Nobody under what only a jack or a hoist holds."
    )
    stopped_at: str = "stopped at job, why"
    stage: str = "stage {torque}"
    then_angle: str = "then {angle}°"
    no_origin: str = "origin not said"
    figure_by: str = "{origin} figure"

    # -- lists --
    what: str = "what"
    where: str = "where"
    mass: str = "mass"
    count: str = "number"
    who_when: str = "who, when"
    notes: str = "note"

    # -- walk-round --
    walk_title: str = "Walk-round before lifting {lift}"
    walk_off: str = "Lifted off {rest}."
    walk_off_all: str = "Lifted off all the rest."
    walk_mass: str = "In all about {mass}, a guide value."
    walk_unweighed_one: str = "Not weighed: 1 part of it. Find out the weight before you lift."
    walk_unweighed: str = "Not weighed: {n} parts of it. Find out the weight before you lift."
    walk_counts: str = "{holding} still hold, {look} undone and not looked at, {free} seen free."
    walk_further: str = "{n} ties further off, by way of other parts, are not listed here."
    walk_key: str = (
        "Empty box: holds; half: half undone; ?: undone in the logbook, look at it; ticked: seen "
        "free."
    )
    walk_caution: str = (
        "Look at every tie yourself, and lift a little before you lift. Lifting points, slings, "
        "hoist and stands as their makers say; nobody under what hangs."
    )
    walk_tie: str = "tie"
    walk_how: str = "how it stands"
    walk_advised: str = "advised to undo"
    walk_along: str = "What goes along"
    walk_signs: str = "walked round by, when"
    no_zone: str = "No zone"

    # -- open list --
    open_title: str = "Open tonight"
    open_none: str = "Nothing that the logbook knows of is open."
    open_danger: str = "Somebody can get hurt, or the vehicle damaged"
    open_now: str = "Harder to put right with every day"
    open_later: str = "Not to be forgotten"
    open_what: str = "what is open"
    open_clears: str = "what clears it"
    open_lead: str = "{n} open. What the logbook does not know is not here: look around as well."

    # -- torque sheet --
    torque_title: str = "Torque sheet"
    torque_lead: str = (
        "Every joint with a figure or marked critical. The maker's figure wins over any other; a "
        "figure holds only in the condition of the thread that stands beside it."
    )
    torque_none: str = "No joint has a figure or is marked critical."
    torque_joint: str = "joint"
    torque_figure: str = "figure, condition, by whose word"
    torque_applied: str = "applied"
    torque_second: str = "second person"
    torque_no_figure: str = "no figure described: maker's data"
    torque_later: str = "for good: {when}"
    torque_sequence: str = "sequence: {sequence}"
    torque_again: str = "again after {when}"
    torque_wrench: str = "wrench used, calibrated when"

    # -- hardware check --
    hardware_title: str = "Hardware check"
    hardware_short: str = "Short and left over"
    hardware_none: str = "Nothing is short, and nothing is left over."
    hardware_fits: str = "Temporary, and still in"
    hardware_bags: str = "Bags and boxes"
    hardware_specs: str = "By fastener"
    hardware_short_n: str = "{n} short"
    hardware_over_n: str = "{n} over"
    hardware_counted: str = "counted"
    fastener: str = "fastener"
    takes: str = "takes"
    is_on: str = "on"
    laid_up: str = "laid up"
    new: str = "new"
    short: str = "short"
    over: str = "over"
    tag: str = "tag"
    contents: str = "what is in it"

    # -- order list --
    order_title: str = "Order list"
    order_lead: str = (
        "What the rebuild wants new, by specification. Packs are the usual ones of 10, 25, 50 and "
        "100; hold a sample against the old piece before you open one."
    )
    order_fasteners: str = "Fasteners and seals"
    order_none: str = "Nothing is to be bought."
    order_supplies: str = "Used up in making joints"
    order_wanted: str = "wanted"
    order_here: str = "here"
    order_to_buy: str = "to buy"
    order_packs: str = "packs"
    order_for: str = "wanted for {joints}"
    order_ordered: str = "ordered where, when"

    # -- route cards --
    routes_title: str = "Route cards"
    routes_none: str = "No cable, hose, pipe or loom is described."
    route_passes: str = "passes, in this order: {way}"
    route_through: str = "through: {passages}"
    route_out: str = "comes out: {way}{why}"
    route_before: str = "before drawing it: {what}"
    route_undo: str = "undo in this order: {order}"
    route_fit: str = "fit in this order: {order}"
    route_end: str = "end"
    route_at: str = "at"
    route_branch: str = "branch, colours, terminal"
    route_turns: str = "this end turns: undone last, fitted first"
    route_stuck: str = "will not pass the grommets"
    route_clips: str = "clips: {clips}"

    # -- pipe cards --
    pipes_title: str = "Pipe cards"
    pipes_none: str = "No pipe or hose is described."
    pipe_lead: str = (
        "Bend a new pipe over the old one, and keep the old one until the new one fits. Brake and "
        "fuel lines: material, flare and joint as the maker and the law say."
    )
    pipe_length: str = "length"
    pipe_bends: str = "bends"
    pipe_remake: str = "to be made anew"
    pipe_pattern: str = "keep the old one as a pattern"
    pipe_thread: str = "thread or bore"
    pipe_closed: str = "closed with"
    pipe_measured: str = "measured"
    pipe_bend: str = "bend"
    pipe_straight: str = "straight before it"
    pipe_turned: str = "turned from the one before"
    pipe_angle: str = "bent by"

    # -- manifest --
    manifest_title: str = "Manifest"
    manifest_lead: str = (
        "{n} containers and loose parts, of about {mass} as far as masses are known."
    )
    manifest_unweighed: str = "{n} containers and loose parts; nobody weighed any of them."
    manifest_one: str = "1 container or loose part, of about {mass} as far as masses are known."
    manifest_one_unweighed: str = "1 container or loose part; nobody weighed it."
    manifest_none: str = "Nothing lies anywhere that could be moved."
    manifest_out: str = "leaves"
    manifest_in: str = "arrives"
    manifest_thing: str = "container or part"
    manifest_pieces: str = "{n} pieces of hardware"
    manifest_inside: str = "in it: {things}"
    manifest_from: str = "loaded by, where, when"
    manifest_to: str = "unloaded by, where, when"
    manifest_unknown: str = "more"

    # -- answers of the bench --
    bench: str = "At the bench"
    bench_on: str = "worked out on {day}"
    bench_care: str = "Take care"
    bench_results: str = "Worked out"
    bench_how: str = "How, with the numbers put in"
    bench_given: str = "What was put in"
    bench_typed: str = "as typed"
    bench_read: str = "as understood"
    bench_usual: str = "as usual, not typed"
    bench_limits: str = "Where it holds"
    bench_sources: str = "Sources"
    bench_guide: str = (
        "Guide values: the maker's figure, local rules and licensed practice win over them."
    )
    bench_again: str = "The same again at a prompt:"

    terms: Terms = Terms.BRITISH
    """Whose words of the trade; of English only."""

    def respell(self, text: str) -> str:
        """Say it in the language and the words of the trade that are wanted.

        What a person called something stays in their language, but not in their terms.
        """
        found = reteller(self.language).told(text)
        is_theirs = isinstance(text, Own) or (isinstance(text, Written) and not found.is_known)
        told = text if is_theirs else found.text
        return american(told) if self.terms is Terms.AMERICAN else told


ENGLISH = Words()
