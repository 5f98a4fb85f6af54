//! The trade's calculations: pure functions of what they are given. No I/O, no clock, no async.

pub mod circuit;
pub mod deadtest;
pub mod due;
pub mod installation;
pub mod plate;
pub mod proof;
mod shown;
pub mod supply;
mod tables;
pub mod units;
pub mod vibration;
pub mod working;
pub mod circuit { use std::str::FromStr; #[derive(Clone,Copy,Debug,PartialEq,Eq)] pub enum RuleSet{Nec2017,Nec2020,Nec2023,Iec60364} impl RuleSet{ pub const ALL:[RuleSet;4]=[RuleSet::Nec2023,RuleSet::Nec2020,RuleSet::Nec2017,RuleSet::Iec60364]; pub fn words(self)->&'static str{match self{RuleSet::Nec2017=>"NEC 2017",RuleSet::Nec2020=>"NEC 2020",RuleSet::Nec2023=>"NEC 2023",RuleSet::Iec60364=>"IEC 60364"}} } impl FromStr for RuleSet { type Err=String; fn from_str(w:&str)->Result<Self,String>{ RuleSet::ALL.into_iter().find(|r|r.words()==w).ok_or(w.to_owned())} } }
