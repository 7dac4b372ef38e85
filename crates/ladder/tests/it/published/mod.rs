//! One file a source.

mod contradictions;
mod int12_6_2011;
mod int30_15;
mod ir1_2004;
mod ir2_2006;
mod ladders_csv;
mod msr20;
