//! Optical transfer between phones: packets and reassembly.
