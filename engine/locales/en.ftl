# What the engine says, in English. A key is the type's name and the variant's;
# a group holds the messages of one type. Another language is another file with
# the same keys.

## AgreementObjection

agreement-objection-malformed = These are no agreed rulings, or they arrived damaged.
agreement-objection-other-game = These rulings are about another game.
agreement-objection-recorded = These rulings are in this record already.
agreement-objection-stale = This record went on after the two were compared: show it to the other phone again.
agreement-objection-not-for-agreement = The other phone asks this record to take a { $name }, which only its own official may record.
agreement-objection-refused = A ruling does not fit this record. { $objection }

## BracketProblem

bracket-problem-unknown-game = The schedule has no game { $number }.
bracket-problem-game-twice = Game { $number } has two results; give one.
bracket-problem-too-early = Game { $number } has a result, but its sides are not known yet. Enter the games before it first.
bracket-problem-not-a-side = Team { $team } of the list does not play in game { $game }.
bracket-problem-not-needed = The series was decided before game { $number }; its result does not belong here.
bracket-problem-pool-count = Orders of { $given } pools are given, but the schedule has { $pools }.
bracket-problem-pool-order = The order of { $stage } must hold each of its teams once.

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

## ControlCharacter

control-character = A text holds the control character U+{ $code }, which cannot be seen and changes how others look.

## Damage

damage = Entry { $entry } of the file: { $error }

## EditionContradiction

edition-contradiction-no-hit-line-near = The no-hit line is nearer to home than its own minimum.
edition-contradiction-no-hit-line-far = The no-hit line must cross the foul lines before first and third base.
edition-contradiction-fair-territory = Fair territory must hold the whole infield.
edition-contradiction-base-size = Bases must be larger than nothing and fit along the infield side.

## EditionTextError

edition-text-error-unknown-base = This app does not know the edition "{ $name }": it knows federation, youth and introductory.

## EntrantProblem

entrant-problem-too-few = At least 2 teams are needed, not { $count }.
entrant-problem-too-many = There are { $count } teams; at most { $most } fit.
entrant-problem-name = Teams: { $problem }

## EntryError

entry-error-future-format = It was written by a newer app (format { $found }): update this app to read it.
entry-error-malformed-payload = What was signed is no entry of a play log: it is of another kind or damaged.
entry-error-not-deterministic = It is not written in the one exact form that is allowed: it was changed or made by other means.

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

## ExchangeObjection

exchange-objection-malformed = This is no record, or it arrived damaged.
exchange-objection-lacks =
    { $fewer ->
        [true] The other phone left out { $need } entries that it thought were here; { $have } are.
       *[false] The other phone's record does not go on from the one that is here.
    }

## Fault

fault = Entry { $entry } of the file: { $error }

## FileError

file-error-no-opening = The opening of its game is not in the file: its beginning is missing.
file-error-empty = The file is empty.
file-error-too-many-logs = The file holds more than { $most } logs: split it.

## FixtureObjection

fixture-objection =
    { $home ->
        [true] Home side: { $objection }
       *[false] Guests: { $objection }
    }

## KeyError

key-error-length = A public key has 32 bytes; these are { $count }.
key-error-not-a-key = These bytes are no public key that can be trusted.

## Misstatement

misstatement =
    { $differs ->
        [score] The final statement, entry { $seq }, signs the score { $guests }-{ $home } (guests first), but the entries before it give { $recorded_guests }-{ $recorded_home }.
        [finish] The final statement, entry { $seq }, signs another end of the game than the entries before it give.
       *[plays] The final statement, entry { $seq }, signs { $plays } plays, { $conflicts } of them without a place, but the entries before it give { $recorded_plays } and { $recorded_conflicts }.
    }

## NameProblem

name-problem-blank = Name { $number } of the list is blank.
name-problem-too-long = Name { $number } of the list is longer than { $most } characters.
name-problem-twice = "{ $name }" is listed twice; each needs its own name.

## NotHexadecimal

not-hexadecimal = It is not written as { $digits } digits and letters from a to f.

## NotPairings

not-pairings = This is no list of who plays, or it arrived damaged.

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

## OutOfTime

out-of-time = It names a time that is not between the years 2000 and 2100.

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

## Refusal

refusal-not-ours = This is another kind of code. Point at the code on the other phone.
refusal-damaged = This piece arrived damaged and was left out. Another will replace it.
refusal-newer = The other phone runs a newer version. Update this one while you have a signal.
refusal-unknown-kind = The other phone runs a newer version. Update this one while you have a signal.
refusal-other-kind = This is { $got }; { $wanted } is wanted here. Show that on the other phone.
refusal-other-transfer = This belongs to another transfer. Keep to one phone, or start again with this one.
refusal-too-large = This is too large to pass between phones. Send the file another way.
refusal-contradiction = The pieces do not fit together, so none was kept. Keep pointing to start again.

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

## SettingError

setting-error-unknown-name = No rule value is called "{ $name }". The names are: { $names }.
setting-error-bad-value = "{ $given }" is no value of { $name }; wanted: { $want }.

## SetupObjection

setup-objection-other-values = It was kept by { $program }, which knows other values of these rules than this app: judge it with that one.

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

## SupersedeError

supersede-error-other-organiser = It is signed by someone who is not the organiser of the charter you have.
supersede-error-other-charter = It replaces another charter than the one you have.
supersede-error-version =
    { $newer ->
        [true] It is version { $found }, but version { $expected } comes next: a version is missing.
       *[false] It is version { $found }, but you have version { $have } already, and it stays in force.
    }

## TooLarge

too-large = The { $field } is too long: { $given }, at most { $most } are kept.

## TooLong

too-long = { $characters } characters are more than one code can hold.

## TransferError

transfer-error-malformed = This is no game to join, or it arrived damaged.
transfer-error-setup = The game handed over cannot be played by these rules. { $objections }

## WbgtError

wbgt-error-unreadable = This is no WBGT reading; write the number and its unit, as 28.4 C or 83.1 F.
wbgt-error-out-of-range = No WBGT meter shows this outdoors; readings go from -10 to 50 C (14 to 122 F). Is the unit right?
