#include "engine/core/nearest.h"

#include <algorithm>

namespace wetrun {
namespace {

constexpr std::size_t longest_word = 100;

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

}  // namespace

std::size_t edit_distance(std::string_view a, std::string_view b) {
  const std::size_t width = b.size() + 1;
  std::vector<std::size_t> before(width), last(width), row(width);
  for (std::size_t j = 0; j < width; ++j) last[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j < width; ++j) {
      const bool same = lower(a[i - 1]) == lower(b[j - 1]);
      row[j] = std::min({row[j - 1] + 1, last[j] + 1, last[j - 1] + (same ? 0u : 1u)});
      const bool swapped = i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    std::swap(before, last);
    std::swap(last, row);
  }
  return last[width - 1];
}

std::vector<std::string> nearest(std::string_view word, const std::vector<std::string>& known, std::size_t most) {
  struct Candidate {
    std::size_t distance, order;
  };
  std::vector<Candidate> found;
  if (word.empty() || word.size() > longest_word) return {};
  for (std::size_t i = 0; i < known.size(); ++i) {
    if (known[i].size() > longest_word) continue;
    const std::size_t allowed = std::max<std::size_t>(2, std::max(word.size(), known[i].size()) / 3);
    const std::size_t distance = edit_distance(word, known[i]);
    if (distance <= allowed && distance < word.size()) found.push_back({distance, i});
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Candidate& a, const Candidate& b) { return a.distance < b.distance; });
  std::vector<std::string> words;
  for (std::size_t i = 0; i < found.size() && i < most; ++i) words.push_back(known[found[i].order]);
  return words;
}

std::string list_with_or(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " or " : ", ";
    text += words[i];
  }
  return text;
}

std::string did_you_mean(const std::vector<std::string>& words) {
  if (words.empty()) return "";
  std::vector<std::string> quoted;
  for (const std::string& word : words) quoted.push_back("'" + word + "'");
  return "did you mean " + list_with_or(quoted) + "?";
}

}  // namespace wetrun
