#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "engine/core/random.h"
#include "trainer/exercise/json_quote.h"

namespace wetrun {
namespace {

std::string in_json(const std::string& text) {
  std::string out;
  append_quoted(out, text);
  return out;
}

TEST(JsonQuote, IsAddedToWhatIsThere) {
  std::string out = "{\"a\":";
  append_quoted(out, "two\nlines, \"quoted\" and a \\");
  EXPECT_EQ(out, R"({"a":"two\nlines, \"quoted\" and a \\")");
  EXPECT_EQ(in_json(""), "\"\"");
}

TEST(JsonQuote, ReadsBackWhateverTheText) {
  const std::string pieces[] = {"\"",   "\\",           "\n",       "\r",           "\t",
                                "a",    "plain words ", "\xc3\xb6", "\xe2\x82\xac", std::string(1, '\0'),
                                "\x01", "\x1f",         "\x7f"};
  Random random(5);
  for (int i = 0; i < 2000; ++i) {
    std::string text;
    for (std::uint64_t n = random.below(30); n > 0; --n) text += pieces[random.below(std::size(pieces))];
    EXPECT_EQ(nlohmann::json::parse(in_json(text)).get<std::string>(), text);
  }
}

}  // namespace
}  // namespace wetrun
