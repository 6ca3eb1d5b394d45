//! The program as a restorer or a script runs it: right and wrong input, exit
//! statuses, JSON, pages, pipes.
//!
//! One file a command or topic; how the program is run stands in `program`.

mod bench;
mod chart;
mod drive;
mod form;
mod hand_on;
mod hand_on_folder;
mod parts;
mod picture;
mod power;
mod practice;
mod program;
mod prove;
mod readings;
mod reform;
mod renew;
mod restoration;
mod set_of_a_restoration;
mod sheets;
mod stage;
mod stage_solved;
mod suits;
mod suspects;
mod suspects_noticed;
mod suspects_tried;
mod tested;
mod tube;
mod usage;
mod wake;
