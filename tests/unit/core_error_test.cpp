// Complaints quote what a stranger wrote: they stay one line of text all the same.
#include <gtest/gtest.h>

#include "engine/core/error.h"
#include "engine/core/text.h"

namespace wetrun {
namespace {

void expect_one_line(const InputError& error) {
  const std::string text = error.what();
  std::size_t bad = 0;
  EXPECT_TRUE(is_utf8(text, bad)) << text;
  EXPECT_LT(text.size(), 2000u);
  for (const char c : text) EXPECT_GE(static_cast<unsigned char>(c), 0x20u) << text;
}

TEST(InputError, NamesPlaceWrongAndRight) {
  EXPECT_STREQ(InputError({"a.toml", 3, 7}, "wrong", "right").what(), "a.toml:3:7: wrong; right");
  EXPECT_STREQ(InputError({"a.toml", 0, 0}, "wrong", "").what(), "a.toml: wrong");
  EXPECT_STREQ(InputError("wrong", "right").what(), "wrong; right");
}

TEST(InputError, IsOneLineHoweverLongTheQuotation) {
  const std::string endless(100000, 'x');
  expect_one_line(InputError({endless, 1, 1}, "no phase is called '" + endless + "'", "phases: " + endless));
  EXPECT_EQ(InputError(endless, "").wrong(), endless);  // whole, for who wants it
}

TEST(InputError, IsOneLineOfUtf8WhateverIsQuoted) {
  expect_one_line(InputError("two\nlines, a tab\t, a zero" + std::string(1, '\0') + ", half a character \xc2", "\xff"));
  // A character that the cut would halve is left out whole.
  for (std::size_t before = 590; before < 602; ++before)
    expect_one_line(InputError(std::string(before, 'a') + "\u00b5\u20ac\U0001f600", "right"));
}

}  // namespace
}  // namespace wetrun
