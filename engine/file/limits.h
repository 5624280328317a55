// What a file from outside may hold: the limits of every kind, in one place.
//
// Files come from strangers. Each limit is some ten times what the largest sensible use needs (in brackets: what the
// files in scenarios/ need), and small enough that whatever is accepted loads in seconds and in less than 1 GB, and that
// every run comes to an end. What is beyond a limit is an InputError that names it. Conditions have theirs in
// engine/signal/condition.h, quantities in engine/core/units.cpp, what one unit may be made of in its header.
#pragma once
#include <cstddef>
#include <cstdint>

namespace wetrun::limits {

// --- every TOML file ---
constexpr std::size_t file_bytes = 1u << 20;  // [15 kB]
constexpr int nesting = 64;                   // [5] brackets or dotted keys: parsing and freeing are recursive
constexpr std::size_t values = 50'000;        // [430] a value takes some 500 bytes while it is read
constexpr std::size_t entries = 2000;         // [43] of one table or array: keys are searched one by one
constexpr std::size_t text_bytes = 10'000;    // [1240] of one text
constexpr std::size_t expansion = 4;          // [3] how many times longer a file is with all its defaults written out

// --- a skid ---
constexpr std::size_t units = 500;     // [43]
constexpr std::size_t nodes = 1000;    // [39]
constexpr std::size_t links = 1000;    // [67]
constexpr std::size_t cells = 1000;    // [57] each holds 24 numbers that are integrated
constexpr std::size_t signals = 6000;  // [559] a frame holds one number of each

// --- an exercise, a sequence ---
constexpr std::size_t rules = 200;        // [20]
constexpr std::size_t sheet_steps = 200;  // [14]
constexpr std::size_t faults = 500;       // [2]
constexpr std::size_t operators = 100;    // [4]
constexpr std::size_t reveal = 200;       // [9] hidden readings that a debrief shows
constexpr std::size_t phases = 1000;      // [24]
constexpr std::size_t watches = 200;      // [5]
constexpr std::size_t name_bytes = 100;   // [54] of rules, phases and watches: they are noted again and again
constexpr std::size_t note_bytes = 1000;  // [100] the same of what an operator notes

// --- a run ---
// A step of a large skid costs 0.3 us a cell while nobody touches anything, and some 6 us when it is a leg of its own: a run
// of the most steps that are allowed takes two minutes of one core, forty at worst. History: some 10 bytes a number.
constexpr std::uint64_t cell_steps = 400'000'000;  // [20 million] steps times cells
constexpr std::uint64_t steps = 2'000'000;         // [30'000] a week of half seconds is 1.2 million
constexpr std::size_t commands = 200'000;          // [200] of one run, by whomever
constexpr std::size_t records = 20'000;            // [300] phases begun and notes made by a scripted operator
constexpr std::size_t kept_numbers = 16'000'000;   // [11 million] readings of the frames that charts are drawn from
constexpr std::uint64_t history_numbers = 100'000'000;  // [1.7 million] of history.csv

// --- recordings and saved sessions ---
constexpr std::size_t recording_bytes = 64u << 20;  // [60 kB]
constexpr std::size_t session_bytes = 64u << 20;    // [400 kB]
constexpr std::size_t bundle_bytes = 16u << 20;     // [28 kB] the files a recording is made from, as JSON in JSON
constexpr std::size_t signal_bytes = 200;           // [35] of the name of a signal in a recording
constexpr std::size_t line_bytes = 2000;            // [108] of a recording after the first
constexpr std::size_t marks = 10'000;               // [3000] digests
constexpr std::size_t json_values = 4'000'000;      // [15'000] a value takes some 100 bytes

}  // namespace wetrun::limits
