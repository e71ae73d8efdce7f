#![allow(clippy::unwrap_used, missing_docs)]
use super::*;
use crate::Problems;
use crate::game::tests::shirt;
use crate::rules::Edition;
use alloc::vec::Vec;

fn card(hitters: &[u8], reserves: &[u8]) -> Card {
    let players =
        |numbers: &[u8]| Vec::from_iter(numbers.iter().map(|n| Player::numbered(shirt(*n))));
    Card::new("Quay Street", players(hitters)).with_reserves(players(reserves))
}

fn names(card: Card, edition: &Edition) -> Vec<&'static str> {
    card.check(edition)
        .err()
        .map_or_else(Vec::new, Problems::into_vec)
        .iter()
        .map(CardObjection::name)
        .collect()
}

/// Source: glossary, game preliminaries (published): at most 8, five in play,
/// numbers 0 to 99, one each.
#[test]
fn every_objection_to_a_card_is_named_at_once() {
    let fed = Edition::federation();
    assert!(names(card(&[0, 99, 3, 4, 5], &[6, 7, 8]), &fed).is_empty());
    assert_eq!(
        names(card(&[1, 2, 3, 3], &[6, 7, 8, 9, 10]), &fed),
        ["not-five", "roster-over", "number-twice"]
    );
    assert!(Shirt::new(100).is_none());
    assert!("+5".parse::<Shirt>().is_err());
}

/// Source: glossary, game preliminaries (published): two of each gender.
#[test]
fn mixed_cards_need_two_of_each_gender() {
    let mixed = Edition::federation().with("gender-minimum", "2").unwrap();
    let mut c = card(&[1, 2, 3, 4, 5], &[]);
    assert_eq!(names(c.clone(), &mixed).len(), 5 + 2);
    for (i, h) in c.hitters.iter_mut().enumerate() {
        h.player.gender = Some(if i < 1 { Gender::Female } else { Gender::Male });
    }
    assert_eq!(names(c.clone(), &mixed), ["gender-minimum"]);
    c.hitters[1].player.gender = Some(Gender::Female);
    assert!(c.check(&mixed).is_ok());
}

/// Policy, from memory: a starter returns once to the same place; a withdrawn reserve does not.
#[test]
fn re_entry_is_once_and_to_the_same_place() {
    let fed = Edition::federation();
    let mut squad = Squad::new(&card(&[1, 2, 3, 4, 5], &[6, 7]).check(&fed).unwrap());
    squad.swap(Place::First, shirt(6), Whereabouts::Bench);
    assert_eq!(squad.at(Place::First), shirt(6));
    assert!(matches!(
        squad.may_enter(shirt(1), Place::Second, &fed),
        Err(SubObjection::OtherPlace { .. })
    ));
    assert!(squad.may_enter(shirt(1), Place::First, &fed).is_ok());
    squad.swap(Place::First, shirt(1), Whereabouts::Bench);
    assert!(matches!(
        squad.may_enter(shirt(6), Place::Second, &fed),
        Err(SubObjection::ReserveWithdrawn(_))
    ));
    squad.swap(Place::First, shirt(7), Whereabouts::Bench);
    assert!(matches!(
        squad.may_enter(shirt(1), Place::First, &fed),
        Err(SubObjection::ReturnUsed(_))
    ));
    assert!(
        squad.may_cover(shirt(6), Place::Second, &fed).is_ok(),
        "last resort for an injury"
    );
}
