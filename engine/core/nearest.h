// "Did you mean": known words nearest to a misspelt one.
#pragma once
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace wetrun {

/// Number of letters to insert, remove, replace or swap with their neighbour to turn one text into the other
/// (optimal string alignment distance). Upper and lower case count as equal.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// At most `most` of the known words, best first (ties in the order given). A word counts as near when no more than a
/// third of its letters, and at least two, have to change. Words over 100 letters have no neighbours.
std::vector<std::string> nearest(std::string_view word, const std::vector<std::string>& known, std::size_t most = 3);

/// "did you mean 'a', 'b' or 'c'?", or an empty text when there is none.
std::string did_you_mean(const std::vector<std::string>& words);

/// "a, b or c"
std::string list_with_or(const std::vector<std::string>& words);

}  // namespace wetrun
