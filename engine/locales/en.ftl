# What the engine says, in English. A key is the type's name and the variant's;
# a group holds the messages of one type, or those that one module says. Another
# language is another file with the same keys.

## Absence

absence-ejected = was sent off
absence-injured = left injured

## Advance

advance-hit =
    .clause = { "" }
    .word = { "" }
    .choice = on the hit
advance-throw =
    .clause = { " on a throw out of play" }
    .word = throw
    .choice = on a throw out of play
advance-error =
    .clause = { " on an error" }
    .word = error
    .choice = on a fielder's error
advance-award =
    .clause = { ", given by the umpire" }
    .word = given
    .choice = given by the umpire

## AgreementObjection

agreement-objection-malformed = These are no agreed rulings, or they arrived damaged.
agreement-objection-other-game = These rulings are about another game.
agreement-objection-recorded = These rulings are in this record already.
agreement-objection-stale = This record went on after the two were compared: show it to the other phone again.
agreement-objection-not-for-agreement = The other phone asks this record to take a { $name }, which only its own official may record.
agreement-objection-refused = A ruling does not fit this record. { $objection }

## Band

band-normal =
    .word = play as usual
    .text = Play as usual, with water at hand. Local rules and licensed people decide.
band-care =
    .word = take care
    .text = Take care: more pauses, more water and shade, and watch those not used to the heat. Local rules and licensed people decide.
band-limit =
    .word = limit play
    .text = Limit play: short games, long pauses in the shade, nobody who is not used to the heat. Local rules and licensed people decide.
band-cancel =
    .word = do not play
    .text = Do not play: cancel or wait. Local rules and licensed people decide.

## Because

because-only = the only one
because-decided = the one that the organiser decided on
because-listed = the one that listed officials kept
because-begun = the one in which anything was recorded
because-same = all end the same, and the umpire's
because-umpire = none has a result yet; the umpire's is shown and

## BeforeFirst

before-first-base =
    .sentence = first base was touched with the ball before the batter
    .word = before 1st
    .choice = the ball was first
before-first-tagged =
    .sentence = tagged with the ball before first base
    .word = tagged
    .choice = tagged before 1st
before-first-interference =
    .sentence = got in the way of the play before first base
    .word = in the way
    .choice = in the way of the play
before-first-collision =
    .sentence = an avoidable collision before first base
    .word = ran into
    .choice = avoidable collision
before-first-other =
    .sentence = before first base, by the umpire's ruling
    .word = other
    .choice = another ruling

## BracketProblem

bracket-problem-unknown-game = The schedule has no game { $number }.
bracket-problem-game-twice = Game { $number } has two results; give one.
bracket-problem-too-early = Game { $number } has a result, but its sides are not known yet. Enter the games before it first.
bracket-problem-not-a-side = Team { $team } of the list does not play in game { $game }.
bracket-problem-not-needed = The series was decided before game { $number }; its result does not belong here.
bracket-problem-pool-count = Orders of { $given } pools are given, but the schedule has { $pools }.
bracket-problem-pool-order = The order of { $stage } must hold each of its teams once.

## BuiltIn

built-in-federation =
    .title = Federation rules
    .about = The published rules, no-hit line at 4.5 m.
built-in-youth =
    .title = Youth
    .about = Under 15: the no-hit line at 3 m.
built-in-introductory =
    .title = Introductory
    .about = Common practice for beginners: a low fence, first bounce at 3 m.

## CalendarProblem

calendar-problem-first-day = { $day } cannot be a first day; give a day of the years 1 to 9998.
calendar-problem-stamp = { $seconds } seconds since 1970 is outside the years 1 to 9999.
calendar-problem-id = The calendar's identifier must be letters, digits, points, hyphens and underscores only.
calendar-problem-ahead = No place is { $minutes } minutes from universal time; give -840 to 840.

## CardError

card-error-malformed = This is no official's card, or it arrived damaged.

## CardObjection

card-objection-number-outside = "{ $name }" is no shirt number: 0 to 99.
card-objection-not-five = { $hitters } hitters on the card: there must be five.
card-objection-roster-over = { $players } players on the card: at most { $limit } may be listed.
card-objection-number-twice = Number { $shirt } is on the card twice: each player needs a number of their own.
card-objection-position-twice = Two players are set for { $position }: one each.
card-objection-gender-missing = Number { $shirt } has no gender marked: a mixed competition needs it.
card-objection-gender-minimum = { $have } { $gender } among the five: at least { $need } must be on defence at all times.
card-objection-not-on-roster = Number { $shirt } is not on this team's roster for the event.

## Category

category-batting-average = batting average
category-slugging-average = slugging average
category-hits = hits
category-runs = runs
category-runs-batted-in = runs batted in
category-putouts = putouts
category-assists = assists
category-fielding-average = fielding average

## ChainError

chain-error-not-an-opening = The log does not start with its opening: its beginning is missing.
chain-error-opening-of-another-game = The opening names another game than its own teams and rules give: it was put together from two.
chain-error-second-opening = Entry { $seq } opens the game again: a log is opened once.
chain-error-wrong-game = It belongs to another game.
chain-error-wrong-author = It was signed with the key "{ $found }", not with this log's "{ $expected }": someone else wrote it.
chain-error-gap = Entry { $expected } is missing before entry { $found }: get the whole log again.
chain-error-reordered = Entry { $found } stands before entry { $expected }: the order was changed.
chain-error-fork = The author signed two different entries with number { $seq }. Both are kept as proof: ask the author.
chain-error-broken-link = Entry { $seq } does not follow from the entry before it: something was taken out or replaced.
chain-error-statement-of-another-record = The final statement, entry { $seq }, signs off another record than the one before it.
chain-error-unproven-key = Entry { $seq } goes on with a key whose holder did not sign for it: the key may be somebody else's.
chain-error-key-used-before = Entry { $seq } goes on with a key that this log used before: a new key is needed.
chain-error-full = The log is full: at most { $most } entries are kept for one game.

## CharterFault

charter-fault-no-edition = No rules are chosen: choose an edition.
charter-fault-team-twice = Two teams are called { $name }: give each its own name.
charter-fault-number-twice = Number { $shirt } is on the roster of { $team } twice.
charter-fault-key-twice = The key of { $name } is listed twice: each official has their own.
charter-fault-fixture-twice = Two games have number { $number }.
charter-fault-fixture-team = Game { $number } names { $team }, which is not a team of the event.
charter-fault-fixture-alone = Game { $number } has the same team on both sides.
charter-fault-fixture-edition = Game { $number } is under rules that are not listed.
charter-fault-date = "{ $name }" is no date: write year-month-day, as 2026-06-13.
charter-fault-version = The first version of a charter is 1 and replaces none; a later one names the one it replaces.
charter-fault-fixture-time = Game { $number } starts at a time that is not between the years 2000 and 2100.

## CharterFileError

charter-file-error-empty = The file is empty.
charter-file-error-charter =
    { $at ->
        [1] The charter in it is not good. { $error }
       *[other] Charter { $at } in it is not good. { $error }
    }
charter-file-error-incomplete = Some lines of the charter are missing or altered: save the file again.
charter-file-error-other-kind = It holds { $kind }, not a charter.

## CharterObjection

charter-objection-other-charter =
    { $named ->
        [true] The game is set up under another version of the charter: take the newest one on both phones.
       *[false] The game is set up without the event's charter.
    }
charter-objection-wrong-edition = The event plays by { $expected }, this game is set to { $found }: change the rules before the first play.
charter-objection-unlisted-key =
    { $open ->
        [true] The charter does not list the key of { $name } ({ $key }): in this event anyone may keep a log.
       *[false] The charter does not list the key of { $name } ({ $key }): ask the organiser to add it.
    }
charter-objection-other-role = The charter lists this key as { $listed }, not as { $claimed }.
charter-objection-other-name = The charter lists this key for { $listed }, not for { $claimed }.
charter-objection-unknown-team = { $name } is not a team of this event: look for a slip in the name.
charter-objection-card =
    { $home ->
        [true] Home side: { $objection }
       *[false] Guests: { $objection }
    }
charter-objection-unknown-fixture = The schedule has no game { $number }.
charter-objection-fixture-teams =
    { $home ->
        [true] In game { $number } of the schedule the home side is { $expected }.
       *[false] In game { $number } of the schedule the guests are { $expected }.
    }
charter-objection-fixture-court = Game { $number } of the schedule is on { $expected }.

## ChoiceObjection

choice-objection-wants-notice = The records differ in a change or a notice, not in a play: say what that was.
choice-objection-wants-play = The records differ in a play: say what happened in it.
choice-objection-wants-one-of-two = Only the time differs: take yours or theirs, or leave it standing.
choice-objection-mine-no-longer-fits = Your play no longer fits your own record: take theirs, or call the play anew.
choice-objection-theirs-no-longer-fits = Their play no longer fits their own record: take yours, or call the play anew.

## Clock

clock-first-day = { $time }
clock-day = day { $day }, { $time }

## Closing

closing-square = The square is true.
closing-leans = The diagonals differ by { $differ_cm } cm, so the square leans. Keep home and the right fence corner. Move the left and the far fence corner { $move_cm } cm { $towards }, then measure again.
closing-too-long = The diagonals are equal, but each side is about { $cm } cm too long. Measure the sides again.
closing-too-short = The diagonals are equal, but each side is about { $cm } cm too short. Measure the sides again.
closing-implausible = No court of this size has such diagonals. Look at the tape again: home to the far fence corner, and right to left fence corner.

## Compared

compared-wins-losses = Wins and losses
compared-among = Among { $teams }, { $criterion }

## ControlCharacter

control-character = A text holds the control character U+{ $code }, which cannot be seen and changes how others look.

## Criterion

criterion-wins-losses = wins and losses
criterion-among-tied = results among the tied
criterion-balance = team quality balance
criterion-earned-balance = team quality balance of earned runs
criterion-batting-average = batting average among the tied
criterion-lot = lot

## Damage

damage = Entry { $entry } of the file: { $error }

## Difference

difference-fates = { $place }: { $first } { $one }; { $second } { $other }.
difference-swapped = { $place }: { $first } { $one } and then { $other }; { $second } these two plays the other way round.
difference-only = { $place }: { $first } { $play }; { $second } no such play.
difference-notices = { $place }: { $first } this: { $one } { $second } this: { $other }
difference-notice-only = { $place }: only { $first } this: { $notice }
difference-moved = { $place }: both have this, but you here and they at another time: { $notice }
difference-moved-between = { $place }: both have this, but { $first } here and { $second } at another time: { $notice }

## Disposal

disposal-left-out =
    .meaning = left out until settled
disposal-as-scored =
    .meaning = counted as scored so far

## DrawnLine

drawn-line-first-foul = the first-base foul line
drawn-line-third-foul = the third-base foul line
drawn-line-fence = the fence line, or set the fence on it
drawn-line-no-hit = the no-hit line, straight
drawn-line-no-hit-arc = the no-hit line as an arc about home, the tape's end held on home
drawn-line-batters-box = the batter's box
drawn-line-safe-area = the safe area beyond first base

## EditionContradiction

edition-contradiction-no-hit-line-near = The no-hit line is nearer to home than its own minimum.
edition-contradiction-no-hit-line-far = The no-hit line must cross the foul lines before first and third base.
edition-contradiction-fair-territory = Fair territory must hold the whole infield.
edition-contradiction-base-size = Bases must be larger than nothing and fit along the infield side.

## EditionTextError

edition-text-error-unknown-base = This app does not know the edition "{ $name }": it knows federation, youth and introductory.

## Ending

ending-regulation = The scheduled innings are played.
ending-walk-off = The home side took the lead in its last turn.
ending-run-ahead = The lead is large enough to end the game early.
ending-extra = Decided in extra innings.
ending-forfeit = The { $by } forfeited.
ending-forfeit-both = Both sides forfeited.
ending-called = Called because of { $why }; it counts.
ending-suspended = Suspended because of { $why }: to be played on another time.

## EntrantProblem

entrant-problem-too-few = At least 2 teams are needed, not { $count }.
entrant-problem-too-many = There are { $count } teams; at most { $most } fit.
entrant-problem-name = Teams: { $problem }

## EntryError

entry-error-future-format = It was written by a newer app (format { $found }): update this app to read it.
entry-error-malformed-payload = What was signed is no entry of a play log: it is of another kind or damaged.

## EnvelopeError

envelope-error-too-long = It is { $given } bytes long: at most { $most } are allowed.
envelope-error-cut-short = It stops in the middle: the end is missing. Get the file again.
envelope-error-trailing = { $bytes } bytes follow after its end that do not belong to it.
envelope-error-malformed-cose = It is not a signed entry: the bytes are damaged or of another kind.
envelope-error-other-headers = It is signed in a form that is not used here.
envelope-error-other-algorithm = It is signed with another method than Ed25519, the only one allowed.
envelope-error-not-deterministic = It is not written in the one exact form that is allowed: it was changed or made by other means.
envelope-error-other-key = It names the key { $named }, but the key here is { $expected }: someone else signed it.
envelope-error-bad-signature = The signature does not fit: it was altered, or signed by someone else.

## ErrorsBy

errors-by-nobody = { "" }
errors-by-one = { $who }
errors-by-several = { $who } and { $others }

## ExchangeObjection

exchange-objection-malformed = This is no record, or it arrived damaged.
exchange-objection-lacks =
    { $fewer ->
        [true] The other phone left out { $need } entries that it thought were here; { $have } are.
       *[false] The other phone's record does not go on from the one that is here.
    }

## Field

field-captain-name = captain's name
field-card = line-up card
field-changed-rules = list of changed rules
field-charter = charter
field-charters = list of charters
field-check-code = check code
field-checklist-item = checklist item
field-collectors = list of collectors
field-court = court as set out
field-court-name = court's name
field-courts = list of courts
field-date = date
field-decision = decision
field-edition-name = edition's name
field-editions = list of editions
field-ended-keys = list of ended keys
field-entry = entry
field-errors = list of errors
field-event-name = event's name
field-fielders = list of fielders
field-first-aid = first aid
field-incident = incident
field-logs = list of logs
field-lot = lot
field-lots = list of lots
field-name = name
field-note = note
field-official-name = official's name
field-officials = list of officials
field-opening-times = list of opening times
field-order = order
field-organiser-name = organiser's name
field-other-check-code = other check code
field-place = place
field-player-name = player's name
field-pools = list of pools
field-positions = list of positions
field-program-name = program's name
field-reason = reason
field-receipt = receipt
field-roster = roster
field-rule-cited = rule cited
field-rule-name = rule's name
field-rule-value = rule's value
field-ruling = ruling
field-schedule = schedule
field-team-name = team's name
field-teams = list of teams
field-text = text
field-title = title
field-umpire-name = umpire's name
field-witness = witness

## FileError

file-error-no-opening = It follows nothing in the file: the beginning of its log is missing, or another key signed it.
file-error-empty = The file is empty.
file-error-too-many-logs = The file holds more than { $most } logs: split it.

## FixtureObjection

fixture-objection =
    { $home ->
        [true] Home side: { $objection }
       *[false] Guests: { $objection }
    }

## ForfeitLarger

forfeit-larger-fixed =
    .meaning = the forfeit score is entered
forfeit-larger-larger-stands =
    .meaning = the score as played stands

## GameClock

game-clock-game =
    .word = game
game-clock-half-innings =
    .word = sides
game-clock-hit =
    .word = hit
game-clock-time-out =
    .word = time-out

## GapWords

gap-no-game = { $team } has no game against the others that counts
gap-no-inning = { $team } has no out at bat or none on defence
gap-earned-unknown = the earned runs of game { $game } were not kept
gap-batting-unknown = the at-bats and hits of game { $game } were not kept
gap-no-at-bat = { $team } has no at-bat
gap-not-drawn = { $team } has not been drawn

## Gender

gender-female = woman
gender-male = man

## Half

half-top = top of { $inning }
half-bottom = bottom of { $inning }

## HandRaise

hand-raise-custom =
    .meaning = asked as a courtesy, no penalty
hand-raise-required =
    .meaning = required; a hit without it is an illegal hit

## Hands

hands-one = one person
hands-two = two people

## Hold

hold-weather =
    .reason = weather
    .choice = rain, wind, wet ground
hold-lightning =
    .reason = thunder or lightning
    .choice = thunder or lightning
hold-heat =
    .reason = heat
    .choice = heat
hold-other =
    .reason = the umpire's decision
    .choice = another reason

## HoldState

hold-state-clear = No thunder so far. Stop at the first thunder you hear.
hold-state-holding = Play is stopped. Stay in a solid building or a hard-topped vehicle for { $left } more. New thunder starts the 30 minutes again.
hold-state-over = 30 minutes have passed since the last thunder. Look at the sky and the ground before you play on; local rules and licensed people decide.

## Holder

holder-you = you have
holder-they = they have
holder-they-first = They have
holder-named = { $who } has

## IllegalAct

illegal-act-no-hit-zone =
    .sentence = the ball bounced inside the no-hit line
    .word = too short
illegal-act-foul =
    .sentence = the ball was foul
    .word = foul
illegal-act-fence =
    .sentence = the ball reached the fence on the fly
    .word = fence
illegal-act-box =
    .sentence = the batter was on or over the line of the box
    .word = box
illegal-act-turn =
    .sentence = the hit was out of turn
    .word = turn
illegal-act-other =
    .sentence = the hit was illegal
    .word = other

## IllegalPutout

illegal-putout-nobody =
    .meaning = nobody is credited
illegal-putout-nearest =
    .meaning = the fielder nearest the ball, as the scorer names

## InjuryCover

injury-cover-last-resort =
    .meaning = when nobody else is left, a player taken out earlier may come back for an injured one
injury-cover-eligible =
    .meaning = only a player who could come in anyway

## KeyError

key-error-length = A public key has 32 bytes; these are { $count }.
key-error-not-a-key = These bytes are no public key that can be trusted.

## Kind

kind-fixture = a fixture to join
kind-entries = a game's record
kind-charter = an event charter
kind-rulings = agreed rulings
kind-official = an official's card
kind-pairings = a list of who plays

## LadderStep

step-not-drawn = { $compared }: { $gap }. They share the place until a lot is drawn.
step-gap = { $compared }: { $gap }, so this cannot be compared and separates no one.
step-each = { $compared }: each { $value }. This separates no one.
step-separates-no-one = { $compared }: { $values }. This separates no one.
step-separates = { $compared }: { $values }.
step-still-tied = { $compared }: { $values }. Still tied: { $tied }.

## LeftEarly

left-early-dead =
    .meaning = the umpire stops play: the ball was not hit
left-early-live =
    .meaning = play goes on: the hit counts as it falls

## LineProblem

line-problem-twice = Number { $shirt } of team { $team } of the list is listed twice; add the games up first.
line-problem-at-bats = Number { $shirt } of team { $team } of the list has more at-bats than turns at bat.
line-problem-hits = Number { $shirt } of team { $team } of the list has more hits than at-bats.
line-problem-total-bases = Number { $shirt } of team { $team } of the list must have one to four bases for each hit.

## LineSide

line-side-left =
    .hand = left
    .lean = to the left, in the direction from first base to home
line-side-right =
    .hand = right
    .lean = to the right, in the direction from home to first base

## LoadedRunner

loaded-runner-either =
    .meaning = the last player put out, or a reserve
loaded-runner-last-out =
    .meaning = the last player put out
loaded-runner-reserve =
    .meaning = a reserve

## Mark

mark-home = home
mark-first = first base
mark-second = second base
mark-third = third base
mark-right-corner = the right fence corner
mark-far-corner = the far fence corner
mark-left-corner = the left fence corner
mark-no-hit-first = the no-hit mark on the first-base line
mark-no-hit-third = the no-hit mark on the third-base line
mark-box-first = the box corner behind home on the first-base line
mark-box-third = the box corner behind home on the third-base line
mark-box-back = the back corner of the box
mark-foul-half-near = the near outer corner of the foul half of first base
mark-foul-half-far = the far outer corner of the foul half of first base
mark-safe-end = the end of the safe area on the foul line
mark-safe-end-out = the outer end of the safe area

## Measure

measure-infield-side = base to base
measure-fair-side = side of fair territory
measure-no-hit = no-hit line from home

## MeetingName

meeting-round = { $stage }, round { $round }
meeting-only = { $stage }
meeting-numbered = { $stage } { $at }

## Misfit

misfit-not-scheduled = The schedule has no game { $number }.
misfit-other-teams = Game { $number } was played by other teams than the schedule has there now. Look for an earlier result that was changed.
misfit-too-early = Game { $number } waits for an earlier meeting or pool that is still open.
misfit-not-needed = The series was decided before game { $number }.
misfit-nobody-through = Game { $number } decides who goes through and will not be played: decide that one side forfeited it.

## Misstatement

misstatement =
    { $differs ->
        [score] The final statement, entry { $seq }, signs the score { $guests }-{ $home } (guests first), but the entries before it give { $recorded_guests }-{ $recorded_home }.
        [finish] The final statement, entry { $seq }, signs another end of the game than the entries before it give.
       *[plays] The final statement, entry { $seq }, signs { $plays } plays, { $conflicts } of them without a place, but the entries before it give { $recorded_plays } and { $recorded_conflicts }.
    }

## Movement

movement-bats-first = The third out came before the hit: { $who } bats first next time.
movement-no-hit = No hit: { $who } is still at bat.
movement-all-the-way =
    { $who } goes all the way home{ $on }{ $late ->
        [true] ; the run does not count
       *[false] { "" }
    }.
movement-safe =
    { $who } is safe at { $at }{ $on }{ $then }{ $late ->
        [true] ; the run does not count
       *[false] { "" }
    }.
movement-out = { $who } is out: { $why }.
movement-caught = { $who } is out: the hit was caught before the ground.
movement-stays-on = { $who } stays on { $base }.
movement-stays = { $who } stays.
movement-too-late = { $who } is home too late{ $on }; the run does not count.
movement-scores = { $who } scores{ $on }.
movement-to =
    { $who } to { $goal }{ $on }{ $then }{ $late ->
        [true] ; the run does not count
       *[false] { "" }
    }.
movement-put-out = { $who } is out{ $place }: { $why }.
movement-forced = { $who } is out{ $place }: forced to run, tagged before the next base.
brief-scores = { $who } scores
brief-too-late = { $who } home too late
brief-out = { $who } out
brief-stays = { $who } stays on { $base }
brief-to = { $who } to { $base }
brief-safe = { $who } safe at { $base }
brief-no-hit = no hit

## NameProblem

name-problem-blank = Name { $number } of the list is blank.
name-problem-too-long = Name { $number } of the list is longer than { $most } characters.
name-problem-twice = "{ $name }" is listed twice; each needs its own name.

## NoHitShape

no-hit-shape-line =
    .meaning = the triangle cut off by the straight line that joins the two marks
no-hit-shape-distance =
    .meaning = first bounce at least the stated distance from home

## NotHexadecimal

not-hexadecimal = It is not written as { $digits } digits and letters from a to f.

## NotPairings

not-pairings = This is no list of who plays, or it arrived damaged.

## Notice

notice-substitution = { $team }: { $by } comes in for { $out }.
notice-ejection = { $team }: { $who } is sent off.
notice-ejection-replaced = { $team }: { $who } is sent off, { $by } comes in.
notice-injury = { $team }: { $who } leaves injured.
notice-injury-replaced = { $team }: { $who } leaves injured, { $by } comes in.
notice-time-out = Time-out, { $team }.
notice-warning = Warning to { $to } of { $team }{ $told }
notice-protest = { $team } protests{ $told }
notice-hold = The game is stopped: { $why }.
notice-resume = The game goes on.
notice-courtesy-runner = { $by } runs for the batter due.
notice-forfeit = { $team } forfeits{ $told }
notice-defence = { $team } changes positions.
notice-remark = { $text }
notice-coach-ejection = { $team }: the coach is sent off.
notice-coach-ejection-named = { $team }: { $name } (coach) is sent off.
notice-no-play = No play, the batter hits again{ $told }
notice-game-called = The umpire calls the game because of { $why }{ $told }
notice-forfeit-both = Both sides forfeit{ $told }
notice-renumber = { $team }: number { $from } on the card is { $to }.
notice-reserve = { $team }: { $who } comes as a reserve.

## NoticeObjection

notice-objection-over = The game is over: this can no longer be recorded.
notice-objection-held = The game is stopped: resume it first.
notice-objection-already-held = The game is already stopped.
notice-objection-not-held = The game is not stopped.
notice-objection-short-handed = The { $side } have fewer than five on their card: they forfeit, or hand over a full card first.
notice-objection-no-time-out-left = The { $side } have used their time-outs ({ $limit }).
notice-objection-courtesy-runner-not-needed = The batter due is not on base: nobody need run for them.
notice-objection-courtesy-runner-not-allowed = Number { $by } may not run here. { $rule } Choose { $choices }.
notice-objection-positions-incomplete = Give each of the five a different position.
notice-objection-text-too-long = The note is too long: at most { $most } letters.

## ObjectTooLarge

object-too-large = { $bytes } bytes are too many to pass between phones; { $most } is the most.

## OrderError

order-error-other-key = It is to be signed with the key of the collector that it is for.

## OutAt

out-at-nowhere = { "" }
out-at-home = { " at home" }
out-at-base = { " at " }{ $base }

## OutOfTime

out-of-time = It names a time that is not between the years 2000 and 2100.

## OutOfTurn

out-of-turn-due-out =
    .meaning = the batter due is out
out-of-turn-corrected =
    .meaning = no penalty: the right batter takes over before the hit counts

## Outcome

outcome-errors = Error by { $by }.

## Path

path-none = { "" }
path-from = { $mark }
path-then = { $path }, then { $mark }

## PlayObjection

play-objection-over = The game is over: nothing more can be called.
play-objection-held = The game is stopped: resume it before the next call.
play-objection-courtesy-runner-needed = Number { $due } is on { $base } and due to bat: say who runs for them first.
play-objection-hitter-not-in-play = Number { $shirt } is not one of the five: name the one who hit.
play-objection-hitter-on-base = Number { $who } is on { $base } and cannot have hit: name the one who did.
play-objection-not-due = This play was recorded for another turn: number { $due } is due now.
play-objection-no-runner = Nobody is on { $goal }.
play-objection-same-base = { $ahead } and { $behind } cannot both be on { $base }: move { $ahead } on or call one out.
play-objection-passing = { $behind } would be past { $ahead }: move { $ahead } on, or call the one who passed out.
play-objection-not-forward = { $who } cannot advance to { $to } from there: choose a base further on.
play-objection-out-behind = { $who } cannot be out at { $at }, behind their own base.
play-objection-not-forced = { $shirt } was not forced: a base behind was empty, or the hit gave no right to run. Call a tag.
play-objection-forced-elsewhere = { $who } was forced to { $next } and can be forced out only there.
play-objection-no-catch = { $shirt } need not go back: the ball was not caught on the fly.
play-objection-how-does-not-fit = { $who } cannot be out that way ({ $how }).
play-objection-further-on-hit = { $shirt } went further on the same hit: call the base reached in the end, or say what else took them there.
play-objection-nobody-ahead = Nobody was ahead of { $shirt } to be passed: call another reason.
play-objection-nobody-to-share = Nobody else can have stood on that base with { $shirt }: call another reason.
play-objection-stopped-before-hit = Play stops in this competition when a runner leaves early: { $shirt } is out, and there was no hit.
play-objection-dead-ball = The ball is dead: { $shirt } goes back, unless the umpire gives a base.
play-objection-too-many-outs = { $called } outs called with { $before } already out: the turn ends at three.
play-objection-runs-unanswered =
    { $most ->
        [one] The third out was not a force: was the runner home first?
       *[other] The third out was not a force: how many of the { $most } were home first?
    }
play-objection-too-many-home-first = At most { $most } can have been home before the third out.
play-objection-not-asked = Who was home first changes nothing here: the third out was a force, or there is none.
play-objection-nobody-to-choose = A fielder's choice needs a runner on base: call a hit or an error.
play-objection-award-differs = { $who } is given exactly { $bases } bases in this competition.
play-objection-turn-corrected = Hitting out of turn has no penalty in this competition: let the right batter hit.
play-objection-error-on-dead-ball = The ball was dead with { $batter } at bat: no error can be charged. Leave the error out.
play-objection-too-much-scoring = At most 16 touches and 16 errors fit one play.
play-objection-short-handed = The { $side } have fewer than five on their card: they forfeit, or hand over a full card first.

## Position

position-first-base = first base
position-second-base = second base
position-third-base = third base
position-shortstop = shortstop
position-midfielder = midfielder

## PutOut

put-out-forced =
    .sentence = the base was touched with the ball first
    .word = forced
    .choice = forced
put-out-tagged =
    .sentence = tagged with the ball off the base
    .word = tagged
    .choice = tagged
put-out-left-early =
    .sentence = off the base before the hit
    .word = left early
    .choice = left before the hit
put-out-not-back =
    .sentence = did not go back to the base after the catch
    .word = not back
    .choice = did not go back
put-out-passed =
    .sentence = passed a team-mate
    .word = passed
    .choice = passed a team-mate
put-out-shared =
    .sentence = tagged while two shared a base
    .word = shared
    .choice = two on one base
put-out-collision =
    .sentence = an avoidable collision
    .word = ran into
    .choice = avoidable collision
put-out-interference =
    .sentence = got in the way of the play
    .word = in the way
    .choice = in the way of the play
put-out-other =
    .sentence = by the umpire's ruling
    .word = other
    .choice = another ruling
put-out-missed =
    .sentence = missed the base, and the defence appealed
    .word = missed
    .choice = missed the base

## ReEntry

re-entry-starter-once =
    .meaning = a starter may return once, to the same place in the order; a withdrawn reserve may not
re-entry-never =
    .meaning = nobody taken out may return
re-entry-free =
    .meaning = anyone taken out may return

## Reach

reach-hit =
    .clause = { "" }
    .word = { "" }
    .choice = a clean hit
reach-error =
    .clause = { " on an error" }
    .word = error
    .choice = a fielder's error
reach-choice =
    .clause = { " on a fielder's choice" }
    .word = choice
    .choice = fielder's choice
reach-award =
    .clause = { ", given by the umpire" }
    .word = given
    .choice = given by the umpire

## Reason

reason-no-record = No official's record is here.
reason-fork = In { $record } an entry was signed twice with other content: both are kept.
reason-rewritten = Another official signed to have seen other entries in { $record } than stand there now.
reason-other-game = { $record } is of another game.
reason-left-standing = A difference was left standing: { $note }
reason-left-open = A difference is left open in { $record }.
reason-differs-at = { $place }: the records differ.
reason-differs-in-score = The two records end with different scores.
reason-differs = The two records differ.
reason-misstated = The final statement in { $record } signs another result than its entries give.
reason-conflicts = In { $record } a play no longer fits after a correction: it is to be set right and signed again.
reason-still-on = Still going on in { $record }.
reason-old = { $record } ends before the { $ends }: it is older, and says nothing against the rest.
reason-not-signed = Not yet signed off: { $record }.
reason-signed-early = Signed off before its end: { $record }.
reason-not-co-signed = The other official has not signed the statement of { $record }.
reason-details =
    Same score, but hits, errors or fielders are told differently in { $plays ->
        [one] one play
       *[other] { $plays } plays
    }.
reason-details-and-errors =
    Same score, but hits, errors or fielders are told differently in { $plays ->
        [one] one play
       *[other] { $plays } plays
    }. Errors, guests first: { $x } in { $a }, { $y } in { $b }.
reason-alone = Only one official kept a record.

## RecordError

record-error-setup = { $objections }

## RecordObjection

record-objection-nothing-to-undo = Nothing is recorded yet: nothing to take back.
record-objection-not-the-last = Only the last thing recorded can be taken back: amend the play instead.
record-objection-no-such-play = There is no such play in this game.
record-objection-putouts = Star at most { $outs } putouts on this play: its outs.
record-objection-text-too-long = The note is too long: at most { $most } letters.
record-objection-batted-in =
    { $runs ->
        [0] No run counts on this play: none can be batted in.
       *[other] At most { $runs } can be batted in on this play: the runs that count.
    }

## Reduction

reduction-within = { $what }: { $used } instead of { $full }, { $less } less, as the edition allows.
reduction-beyond = { $what }: { $used } instead of { $full }, { $less } less; this is no longer within the edition.

## Refusal

refusal-not-ours = This is another kind of code. Point at the code on the other phone.
refusal-damaged = This piece arrived damaged and was left out. Another will replace it.
refusal-newer = The other phone runs a newer version. Update this one while you have a signal.
refusal-unknown-kind = The other phone runs a newer version. Update this one while you have a signal.
refusal-other-kind = This is { $got }; { $wanted } is wanted here. Show that on the other phone.
refusal-other-transfer = This belongs to another transfer. Keep to one phone, or start again with this one.
refusal-too-large = This is too large to pass between phones. Send the file another way.
refusal-contradiction = The pieces do not fit together, so none was kept. Keep pointing to start again.

## Role

role-umpire = umpire
role-scorer = scorer
role-organiser = organiser
role-other = other

## RunAheadWhen

run-ahead-when-complete =
    .meaning = after a complete inning
run-ahead-when-guests-done =
    .meaning = after a complete inning, and when the guests' turn ends and the home side has it
run-ahead-when-at-once =
    .meaning = also at the moment the home side reaches it at bat

## RunScoringFly

run-scoring-fly-at-bat =
    .meaning = a time at bat like any other out
run-scoring-fly-no-at-bat =
    .meaning = no time at bat

## ScheduleProblem

schedule-problem-court = Courts: { $problem }
schedule-problem-no-court = No court is given; at least 1 is needed.
schedule-problem-too-many-courts = There are { $count } courts; at most { $most } fit.
schedule-problem-game-length = A game cannot last { $minutes } minutes; give a length from 1 to 1440.
schedule-problem-pause = A pause of { $minutes } minutes is longer than a day; give 0 to 1440.
schedule-problem-no-window = No opening time of the courts is given.
schedule-problem-too-many-windows = There are { $count } opening times; at most { $most } fit.
schedule-problem-bad-window = The opening time from { $opens } to { $closes } must end after it begins, within a year.
schedule-problem-overlap = The opening time from { $opens } must begin after the one that ends at { $closes }.
schedule-problem-series-of-two = A series is between 2 teams; there are { $teams }.
schedule-problem-pool-count = { $count } pools cannot be; give 1 to { $most }.
schedule-problem-small-pool = Pool { $pool } would have { $teams }; at least 2 teams are needed.
schedule-problem-pool-sizes = The pools hold { $sum } teams together, but { $teams } are entered.
schedule-problem-through = { $through } of each pool cannot go through: the smallest pool has { $smallest }; give 1 to { $most }.
schedule-problem-finals-of-one = Only 1 team would reach the finals; let at least 2 through.
schedule-problem-third-place = A third-place meeting needs at least 4 teams in the knock-out; there are { $teams }.
schedule-problem-not-enough-room =
    { $fits ->
        [true] { $games } games are to be played, but only { $room } fit. With the same hours { $courts } courts have room.
       *[false] { $games } games are to be played, but only { $room } fit. No opening time is as long as one game.
    }
schedule-problem-too-late = With the rest between games the last one would end at { $end }, but the courts close at { $closes }. Shorten the rest or the games, or open longer.

## SecondWarning

second-warning-nothing =
    .meaning = another warning, as often as needed
second-warning-ejection =
    .meaning = the person is sent off

## Series

series-single =
    .meaning = one game
series-best-of-three =
    .meaning = first to two of three games

## SeriesHome

series-home-swap-then-toss =
    .meaning = sides swap for the second game, a toss decides the third
series-home-toss-each =
    .meaning = a toss before each game
series-home-fixed =
    .meaning = the same side is home in each game

## SettingError

setting-error-unknown-name = No rule value is called "{ $name }". The names are: { $names }.
setting-error-bad-value = "{ $given }" is no value of { $name }; wanted: { $want }.

## SetupObjection

setup-objection-other-values = It was kept by { $program }, which knows other values of these rules than this app: judge it with that one.

## Shape

shape-outline = The outline
shape-obstacle = Obstacle { $number }

## Shortfall

shortfall = No court fits: base to base would be { $largest }, { $short } short of the least, { $least }. With { $run_off } of run-off the least court needs a clear square of { $square }.
shortfall-none = No court fits: no place was found even for the batter's box and first base. With { $run_off } of run-off the least court needs a clear square of { $square }.

## Side

side-guest = guests
side-home = home side

## Source

source-published = published rule
source-common-practice = common practice
source-from-memory = left open by the books, set by the competition
source-derived = follows from other rules
source-set-by-competition = set by the competition

## SpaceObjection

space-objection-too-few-corners = { $shape } has { $got } corners; it needs at least 3.
space-objection-too-many-corners = { $shape } has { $got } corners; at most { $most } are read.
space-objection-too-many-obstacles = There are { $count } obstacles; at most { $most } are read. Join some that stand together.
space-objection-not-a-number = { $shape }, corner { $corner }: this is not a length in metres.
space-objection-too-large = { $shape } reaches { $extent } m; more than { $most } m is surely a slip. Lengths are in metres.
space-objection-repeated-corner = { $shape }: corner { $corner } lies on another corner. Move or remove it.
space-objection-crossing = { $shape }: the side from corner { $side } meets the side from corner { $other }. Draw the corners in order, without crossing.
space-objection-no-area = { $shape } is a line; it must enclose some ground.
space-objection-negative-radius = { $shape } has a radius below nothing; give 0 or more.
space-objection-no-such-corner = Home cannot be at corner { $corner }: the outline has { $corners } corners.
space-objection-sun-out-of-range = The sun cannot stand at { $degrees } degrees; give 0 to 359, clockwise from the top of the plan.

## Stage

stage-round-robin = Round robin
stage-pool = Pool { $pool }
stage-series = Series
stage-knockout =
    { $places ->
        [2] Final
        [4] Semi-final
        [8] Quarter-final
       *[other] Round of { $places }
    }
stage-third-place = Third place

## StandingsProblem

standings-problem-too-many-games = There are { $count } games; at most { $most } fit one table.
standings-problem-group = Team { $team } of the list is twice in the group, or not entered.
standings-problem-lot = Team { $team } of the list is twice in the lot, or not entered.
standings-problem-not-in-group = Game { $number } has a team that is not in this group; leave the game out of this table.
standings-problem-against-itself = In game { $number } a team meets itself.
standings-problem-game-twice = Game { $number } is given twice; give each game once.
standings-problem-no-winner = Game { $number } is given as final at { $runs }-{ $runs }, but a game goes on until one side leads. Give it as unsettled.
standings-problem-not-level = Game { $number } is given as tied, but one side leads. Give it as final.
standings-problem-earned = Game { $number } has more earned runs than runs; earned runs are some of the runs.
standings-problem-hits = Game { $number } has more hits than at-bats.

## Status

waits-for-conflicts = some plays no longer fit
waits-for-signed-early = signed before its end
waits-for-end = being played
waits-for-signature = over, not signed yet

## Stoppage

stoppage-weather = the weather
stoppage-darkness = darkness
stoppage-time = the time limit
stoppage-other = the umpire's decision

## SubObjection

sub-objection-not-on-card = Number { $shirt } is not on this side's line-up card.
sub-objection-not-in-play = Number { $shirt } is not one of the five in play.
sub-objection-already-in-play = Number { $shirt } is already one of the five in play.
sub-objection-out-for-the-game = Number { $shirt } { $absence } and may not come back.
sub-objection-reserve-withdrawn = Number { $shirt } came in as a reserve and was taken out: no second entry.
sub-objection-return-used = Number { $shirt } has already returned once.
sub-objection-other-place = Number { $shirt } may return only at place { $own } in the order, their own.
sub-objection-no-return = Number { $shirt } was taken out: nobody may return in this competition.
sub-objection-gender-minimum = Fewer than { $need } of one gender would be on defence ({ $gender }): choose another player.
sub-objection-on-base = Number { $shirt } runs for the batter due: wait for the end of the play.
sub-objection-replacement-needed = Number { $shirt } leaves: name the player who comes in, there is one who may.
sub-objection-nothing-to-replace = Number { $shirt } is not in play: nobody needs to come in.

## SunSide

sun-side-ahead = The sun stands in the batter's eyes.
sun-side-right = The sun stands on the first-base side.
sun-side-behind = The sun stands behind the batter, in the fielders' eyes.
sun-side-left = The sun stands on the third-base side.

## SupersedeError

supersede-error-other-organiser = It is signed by someone who is not the organiser of the charter you have.
supersede-error-other-charter = It replaces another charter than the one you have.
supersede-error-version =
    { $newer ->
        [true] It is version { $found }, but version { $expected } comes next: a version is missing.
       *[false] It is version { $found }, but you have version { $have } already, and it stays in force.
    }

## Suspension

suspension =
    { $left ->
        [0] { $team }: { $shirt } was sent off in game { $game } and has missed what the rules ask for.
        [one] { $team }: { $shirt } was sent off in game { $game } and misses the next game.
       *[other] { $team }: { $shirt } was sent off in game { $game } and misses the next { $left } games.
    }

## Table

table-twice-in-the-group = { $team } is twice in the group.
table-twice-in-the-lot = { $team } is twice in the lot.
table-left-out =
    { $count ->
        [one] Game { $games } is left out until it is settled.
       *[other] Games { $games } are left out until they are settled.
    }
table-ties-left-out =
    { $count ->
        [one] Game { $games } ended in a tie and does not count: this competition leaves ties out of the table.
       *[other] Games { $games } ended in ties and do not count: this competition leaves ties out of the table.
    }
table-closed =
    { $count ->
        [one] Game { $games } will not be played: the table is complete without it.
       *[other] Games { $games } will not be played: the table is complete without them.
    }

## Task

task-start = Mark home. Choose the way to first base and stretch the tape along it. This is the base line.
task-along = From { $from }, measure { $length } towards { $towards }. Mark { $mark }.
task-beyond = From { $from }, measure { $length } straight on, away from { $towards }. Mark { $mark }.
task-right-angle = Right angle by 3-4-5: chalk a spot { $along } from home on the base line. A second spot, towards third base, is { $up } from home and { $across } from the first spot. The line from home through it is the third-base line.
task-cross = Hold the tape { $one } from { $from } and { $other } from { $to }. Where they meet, on the { $side } hand as you look from { $from } to { $to }, mark { $mark }.
task-draw = Draw { $line }: { $path }.
task-lay-base = Lay a base inside fair territory with its outer corner on { $mark }.
task-lay-double-base = Lay a base inside fair territory with its outer corner on first base. Lay the second half beside it, in foul territory.
task-close = Closing check: measure from home to the far fence corner, and from the right to the left fence corner. Both should be { $diagonal }. If they differ, the square leans.

## Then

then-nothing = { "" }
then-out = , then out{ $place }: { $why }
then-home = , then home{ $on }
then-base = , then to { $base }{ $on }

## TieBreakWho

tie-break-who-nearest-on-first =
    .meaning = those just before the batter due, the nearest of them on 1st
tie-break-who-nearest-on-lead =
    .meaning = those just before the batter due, the nearest of them on the leading base

## TiedGames

tied-games-half =
    .meaning = half a game won and half a game lost
tied-games-left-out =
    .meaning = not counted

## Ties

ties-played-on =
    .meaning = suspended, to be played on until one side leads
ties-allowed =
    .meaning = a tie

## Told

told-nothing = .
told-words = : { $words }.

## TooLarge

too-large = The { $field } is too long: { $given }, at most { $most } are kept.

## TooLong

too-long = { $characters } characters are more than one code can hold.

## Topic

topic-surface =
    .title = Surface
    .text = Walk the whole court. No glass, stones, holes, wet leaves, oil or loose sand. Covers of drains lie flush.
topic-run-off =
    .title = Run-off
    .text = No kerb, post, bench, rail or parked car in the run-off. What cannot be moved is padded or the court is moved.
topic-traffic =
    .title = Traffic and permission
    .text = The local authority has given leave for the place and the time. The street is closed to traffic by those who may close it.
topic-equipment =
    .title = Bases and fence
    .text = Bases lie flat and do not slip. The fence has no sharp end and falls over when someone runs into it, or it is a line.
topic-water =
    .title = Water and shade
    .text = Drinking water and shade are near for both teams and the officials.
topic-weather =
    .title = Thunder and heat
    .text = Someone listens for thunder and knows which building or car to go to. On a hot day someone reads a WBGT meter.
topic-first-aid =
    .title = First aid
    .text = A first-aid kit is on the spot, someone trained is named, and a phone, the emergency number and the exact address are known.
topic-minors =
    .title = Consent for minors
    .text = A parent or guardian has agreed for each minor, and two grown-ups are there for them.
topic-privacy =
    .title = Pictures and names of minors
    .text = Names and pictures of minors are published only as agreed. Results show initials or numbers where the charter says so.
topic-jewellery =
    .title = Jewellery and nails
    .text = Rings, watches, chains and hard hair clips are off. Long nails are cut or taped: the ball is hit with the bare hand.
topic-bystanders =
    .title = People around the court
    .text = People who watch stand outside the run-off and know that balls come over the fence.

## TransferError

transfer-error-malformed = This is no game to join, or it arrived damaged.
transfer-error-setup = The game handed over cannot be played by these rules. { $objections }

## ValueWords

value-no-game = no game yet
value-record = { $record }
value-balance =
    { $balance } ({ $runs } { $earned ->
        [true] { "earned " }
       *[false] { "" }
    }{ $runs ->
        [one] run
       *[other] runs
    } in { $batted } innings at bat, { $allowed } allowed in { $defended } on defence)
value-average =
    { $average } ({ $hits ->
        [one] { $hits } hit
       *[other] { $hits } hits
    } in { $turns ->
        [one] { $turns } at-bat
       *[other] { $turns } at-bats
    })
value-lot = drawn { $place }

## ValuesOf

values-of-nobody = { "" }
values-of-one = { $team } { $value }
values-of-several = { $team } { $value }, { $others }

## Verdict

verdict-tampered = tampered
verdict-incomplete = incomplete
verdict-disputed = disputed
verdict-single = single record
verdict-agreed =
    { $co_signed ->
        [true] agreed and co-signed
       *[false] agreed, not co-signed
    }
verdict-decided = decided by the organiser

## WalkOffRuns

walk-off-runs-whole-play =
    .meaning = every run of the play counts
walk-off-runs-until-ahead =
    .meaning = runs count until the home side leads, all of them when the batter scores on a clean hit

## WarningRecipient

warning-recipient-player = { $who }
warning-recipient-bench = the bench
warning-recipient-coach = the coach

## WbgtError

wbgt-error-unreadable = This is no WBGT reading; write the number and its unit, as 28.4 C or 83.1 F.
wbgt-error-out-of-range = No WBGT meter shows this outdoors; readings go from -10 to 50 C (14 to 122 F). Is the unit right?

## charter::objection

unlisted-key-open = A record was kept with a key that the charter does not list: in this event anyone may keep one.
unlisted-key = A record was kept with a key that the charter does not list.
other-name = A record was kept under another name than the charter lists its key with.

## competition::calendar

calendar-toss = { $guest } and { $home }
calendar-number = Game { $number }.
calendar-meeting = Game { $number }, { $meeting }.
calendar-series = Game { $number }, { $meeting }, game { $of_series } of the series.
calendar-home-by-toss = A toss decides who is home.
calendar-if-needed = Only if the series is not decided.

## competition::leaders

least-turn = At least { $least } turn at bat for each game of the team.
least-turns = At least { $least } turns at bat for each game of the team.
least-chance = At least { $least } chance in the field for each game of the team.
least-chances = At least { $least } chances in the field for each game of the team.

## competition::schedule

side-team = { $team }
side-place = { $place } of { $pool }
side-winner = Winner of { $meeting }
side-winner-unknown = Winner of meeting { $number }
side-loser = Loser of { $meeting }
side-loser-unknown = Loser of meeting { $number }

## court::care::checklist

checklist-wrong = Not in order: { $topics }. Do not play until it is.
checklist-open = Still to look at: { $topics }.
checklist-done = Every point of the list has been looked at.

## court::layout

court-full-size = The court has the full size of the edition.

## court::materials

materials-line = Chalk line or marking tape: { $length }.
materials-fence = Fence, or a drawn line in its place: { $length }.
materials-tape = Measuring tape: at least { $length }; two make it quicker.
materials-cones = Cones: 5, for the fence corners and the no-hit marks.
materials-bases = Bases: 2 single, and 1 double for first base.
materials-chalk = Chalk, a nail or weight for the tape's end, and a line to snap.

## court::used

court-used = Court: { $infield } m base to base, { $fair } m along the foul lines, no-hit line at { $no_hit } m, { $run_off } m of run-off.
court-used-full = Nothing was reduced.
court-used-reduced = Reduced: { $it }

## crosscheck::agreement

version-none = no such play
version-unrecorded = not recorded
version-then = { $one }, then { $other }
version-moved = { $sentence } At another time.

## evidence::words

listing-no-charter = no charter given says who this is
listing-not-listed = the charter does not list this key
listing-ended = listed once as { $role }, { $name }; the charter ends this key, and the first { $good } entries stay good
listing-listed = listed in the charter: { $role }, { $name }
co-signed = { $key }, entry { $entry }
co-signed-for-captain = for { $name } of the { $side } side, with the official's key { $key }, entry { $entry }
no-game = no game: { $why }
game-in-evidence = { $score }, { $conflicts } plays that do not fit, { $open } differences left open
witness-up-to = up to entry { $entry } by { $key }, whose own entry { $own } names it
witness-in-entry = in entry { $entry }
witness-in-receipt = in a receipt of { $time }
witness-against =
    { $key } signed, { $place }, to have seen { $entries } entries, { $cut ->
        [true] which this file does not hold: it ends sooner
       *[false] and others stand there now: it was written anew
    }
witness-nobody = nobody else for entry { $entry } and later: nothing here proves that they are the newest, nor when they were made
dated =
    entries 1 to { $entry } existed before { $time } by { $collector }{ $earlier ->
        [0] { "" }
        [one] { " (1 earlier receipt)" }
       *[other] { " " }({ $earlier } earlier receipts)
    }
dated-by-collector = { $name }, a collector that the charter names, key { $key }
dated-by-unnamed = a collector that no charter given names, key { $key }
order-of-game = game { $id }
order-of-key = the records that key { $id } opened
order-of-event = event { $id } and its games
order-hide = nobody is shown { $what }
order-erase = { $what } is neither kept nor taken
order-block = nothing more by key { $key } is taken
order-pause = nothing at all is taken for now
order-asks =
    { $holds ->
        [true] Ordered: { $asks }.
       *[false] No longer ordered: { $asks }.
    }
order-signed = Signed with the key of a collector, { $key }, words: { $words }, as of { $time } by its clock.
order-reason = The reason given: { $reason }
order-names = It names how far { $records } records and which { $versions } versions of a charter had come: a copy of them held elsewhere is told by their hashes.
order-about = It is about what that collector keeps and shows, and proves nothing about a game.

## game::consequence

consequence-outs = { $outs } outs
consequence-no-run = no run
consequence-runs =
    { $runs ->
        [one] 1 run
       *[other] { $runs } runs
    }
consequence-on-an-error = on an error
consequence-error-by = error by { $who }
consequence-errors = { $errors } errors
consequence-change-sides = change sides
consequence-game-over = game over
consequence-safe = { $who } safe at { $at }, to { $to }
consequence-out = { $who } out: { $why }

## game::courtesy_runner

courtesy-runner-is = In this competition it is { $who }.
courtesy-runner-instead = In this competition it would be { $who }, but there is none: so it is { $instead }.
courtesy-runner-any = In this competition it would be { $who }, but there is none: so it is any of the five who is not on base.
one-of-none = nobody
one-of = { $rest } or { $last }

## log::game_clocks

time-up-stop = The { $minutes } minutes are over: the game stops where it is when you end it.
time-up-last-inning = The { $minutes } minutes are over: no new inning after this one.
time-up-late-inning = The { $minutes } minutes were over before this inning: end the game?
time-up-half-innings = Time to change sides is over: batter to hit.
time-up-hit = The time until the hit is over: you decide.
time-up-time-out = The time-out is over: play on.

## message

pairing = { $guest } at { $home }

## play::words

half-inning-top = Top of { $inning }
half-inning-bottom = Bottom of { $inning }
outs-count =
    { $n ->
        [0] no outs
        [one] 1 out
       *[other] { $n } outs
    }

## report::authority

record-listed = the { $role }'s record
record-unlisted = the record of an unlisted { $role }

## report::basis

basis-strangers =
    { $more ->
        [one] One more record was kept with a key that the charter does not list: it is kept as evidence and counts for nothing.
       *[other] { $more } more records were kept with keys that the charter does not list: they are kept as evidence and count for nothing.
    }
basis-stands-at = { $whose } stands at { $guest }-{ $home }.
basis-nothing-yet = Nothing counts yet: no official's record is here.
basis-strangers-only = { $whose } is shown and does not count: the charter lists nobody who kept a record. It counts once the organiser lists the key or decides.
basis-co-signed = { $whose } counts: all records tell the same, and each official signed the other's statement.
basis-agreed = { $whose } counts: the records tell the same and are signed off. For that the officials need not have signed each other's statement.
basis-single =
    { $records ->
        [one] { $whose } counts: it is the only one and is signed off. One signed record is enough.
       *[other] { $whose } counts: of { $records } records one is signed off, and none says otherwise. One signed record is enough.
    }
basis-tampered =
    { $whose } is shown. { $so_far ->
        [true] Until it is settled it counts in the table as scored so far.
       *[false] Until it is settled it is left out of the table.
    } It is for the organiser to decide.
basis-unsettled =
    { $whose } is shown. { $so_far ->
        [true] Until it is settled it counts in the table as scored so far.
       *[false] Until it is settled it is left out of the table.
    }
basis-not-over = { $whose } is shown: it counts once the game is over and signed off.
basis-anyone = { " " }No official whom the charter lists kept a record; in this event anyone may.
basis-decided = { $whose } counts: the organiser decided so.
basis-decided-alone = The organiser's decision counts: nobody kept a record.
basis-decided-otherwise = The organiser's decision counts. What was played is shown from: { $whose }.
basis-not-counted = It does not count: the organiser decided so.
basis-not-played = It does not count and will not be played: the organiser decided so.

## report::event

other-teams = Game { $number } is between { $guest } and { $home }: one is not a team of this event.

## report::fixture

fixture-stranger = Game { $number } was kept with a key that the charter does not list: it does not count until the organiser lists the key or decides.
fixture-chosen = Game { $number } was kept as { $count } games; { $because } counts.
fixture-not-chosen = It does not count as game { $number }: of { $count } games kept under this number { $because } counts.
fixture-disputed =
    Game { $number } was kept as { $count } games that end differently: { $scores }. The organiser decides which one counts. { $counts ->
        [true] Until then the umpire's counts in the table as it was scored.
       *[false] Until then it is left out of the table.
    }
fixture-twice =
    This game was kept twice over, and the records end differently: { $scores }. The organiser decides which one counts. { $counts ->
        [true] Until then the umpire's counts in the table as it was scored.
       *[false] Until then it is left out of the table.
    }
fixture-not-ended = Game { $number } is kept as { $count } games, and not all of them have ended: none counts until they have, or the organiser decides.
fixture-not-yet = It does not count yet as game { $number }: { $count } games are kept under this number, and not all of them have ended.

## report::game

official = the { $role }
official-one = one { $role }
official-other = the other { $role }
place-not-played = It will not be played.
place-no-record = No record of it is here.
state-not-counted = does not count
state-not-played = will not be played
stopped = Stopped before its end.

## report::lots

lot-stranger = A lot names a team that is not in this event.
lot-twice = A lot names a team twice: it is left out.
lot-again = A lot was drawn again for the same teams: the later one holds.
lot-apart = Two lots were drawn for the same teams ({ $names }), each without knowing of the other: neither counts. Draw again, before both who drew.

## report::ruled

ruled = Decided by the organiser: { $words }
ruled-by-a-stranger = A decision was signed with a key that is not the organiser's: it does not count.
ruled-twice = Two organisers decided without knowing of each other: the later decision counts.
ruled-stands = { $record } stands.
ruled-stands-elsewhere = a record stands that is not here yet; until it comes nothing changes.
ruled-forfeit = { $team } forfeited.
ruled-score = { $score }. { $close }
ruled-score-equal = { $score }. Equal runs settle nothing: a game has a winner.
ruled-not-counted = this game does not count; it may be played again.
ruled-not-played = this game will not be played; the schedule goes on without it.
since-record = The decision was made before { $who } arrived.
since-entries =
    { $more ->
        [one] The decision was made before one more entry of { $who } arrived.
       *[other] The decision was made before { $more } more entries of { $who } arrived.
    }
since-another-line = The decision was made from another line of { $who }.

## report::view

rival-game = Another game was kept for the same place in the schedule, and it ends differently.

## rules::edition

setting-infield-side = side of the infield, base to base (m)
setting-fair-side = side of fair territory (m)
setting-no-hit = no-hit line from home (m)
setting-no-hit-minimum = no-hit line, never under (m)
setting-no-hit-shape = shape of the no-hit zone
setting-batters-box = side of the batter's box (m)
setting-base-side = side of a base (m)
setting-safe-area = safe area beyond first (m)
setting-fence-height = height of the fence (m)
setting-innings = scheduled innings
setting-roster-limit = players on a card
setting-gender-minimum = of each gender on defence
setting-re-entry = who may come back
setting-injury-cover = who may replace the injured
setting-time-outs = time-outs of a side
setting-run-ahead = leads that end a game early (runs@innings)
setting-tie-break-runners = runners when extra innings open
setting-tie-break-who = which runners those are
setting-loaded-runner = batter due on third: who runs
setting-out-of-turn = hitting out of turn
setting-hand-raise = raising a hand before the hit
setting-awards = ball out of play
setting-walk-off-runs = runs of a winning last play
setting-second-warning = a second warning
setting-game-clock = time of a game (min)
setting-half-inning-clock = time between half-innings (s)
setting-hit-clock = time until the hit (s)
setting-time-out-clock = length of a time-out (s)
setting-left-early = runner off the base before the hit
setting-called-game = a called game counts after (innings)
setting-ties = a called game that is level
setting-run-ahead-when = when the lead is looked at
setting-forfeit-larger = a lead larger than the forfeit score
setting-illegal-putout = putout of an illegal hit
setting-run-scoring-fly = a caught ball that brings a run
setting-forfeit-score = runs of a forfeit (to 0)
setting-series = games in a meeting
setting-series-home = home side in a series
setting-unsettled-games = unsettled games in the table
setting-leaders-turns = leaders' averages: turns at bat (a game)
setting-leaders-chances = fielding average: chances (a game)
setting-tied-games = tied games in the table
setting-ejection-carries = missed after being sent off (games)

## score::sheet

unsaid-putouts =
    { $putouts ->
        [one] 1 putout: fielder not named.
       *[other] { $putouts } putouts: fielder not named.
    }
unsaid-errors =
    { $errors ->
        [one] 1 error: fielder not named.
       *[other] { $errors } errors: fielder not named.
    }
unsaid =
    { $putouts ->
        [one] { $errors ->
            [one] 1 putout and 1 error: fielder not named.
           *[other] 1 putout and { $errors } errors: fielder not named.
        }
       *[other] { $errors ->
            [one] { $putouts } putouts and 1 error: fielder not named.
           *[other] { $putouts } putouts and { $errors } errors: fielder not named.
        }
    }
