// Text from outside: well-formedness after RFC 3629, section 4 and its examples; controls after ECMA-48 (5th ed. 1991),
// sections 5.2 and 5.3; direction after Unicode Standard Annex 9, section 2.
#include <gtest/gtest.h>

#include <vector>

#include "engine/core/error.h"
#include "engine/core/text.h"

namespace wetrun {
namespace {

TEST(Text, WellFormedUtf8IsTold) {
  const auto offset = [](std::string_view text) {
    std::size_t bad = 999;
    return is_utf8(text, bad) ? 999 : bad;
  };
  EXPECT_EQ(offset("A\xe2\x89\xa2\xce\x91."), 999u);  // RFC 3629, section 7, first example
  EXPECT_EQ(offset("\xf0\xa3\x8e\xb4"), 999u);        // the last
  EXPECT_EQ(offset("ab\xc0\xae"), 2u);                // an overlong full stop, as in section 10
  EXPECT_EQ(offset("\xed\xa0\x80"), 0u);              // a surrogate
  EXPECT_EQ(offset("\xf4\x90\x80\x80"), 0u);          // past U+10FFFF
  EXPECT_EQ(offset("x\xe2\x89"), 1u);                 // cut short
}

TEST(Text, CodesAreThoseOfTheStandard) {
  EXPECT_EQ(character_at("\xe2\x89\xa2", 0).code, 0x2262u);  // RFC 3629, section 7
  EXPECT_EQ(character_at("\xf0\xa3\x8e\xb4", 0).code, 0x233b4u);
  EXPECT_EQ(character_at("\xff", 0).length, 0u);
}

TEST(Text, WhatATerminalObeysIsHarmful) {
  const auto found = [](std::string_view text) {
    unsigned bad = 0;
    return is_harmless(text, bad) ? 0u : bad;
  };
  EXPECT_EQ(found("two\nlines\tand m\xc2\xb3, \xce\xa9"), 0u);
  EXPECT_EQ(found("\x1b[2J"), 0x1bu);
  EXPECT_EQ(found("bell\x07"), 7u);
  EXPECT_EQ(found(std::string_view("a\0b", 3)), 0u) << "the code of a zero is 0";
  unsigned bad = 1;
  EXPECT_FALSE(is_harmless(std::string_view("a\0b", 3), bad));
  EXPECT_EQ(found("back\rto the start"), 0x0du);
  EXPECT_EQ(found("\x7f"), 0x7fu);
  EXPECT_EQ(found("\xc2\x9b"
                  "31m"),
            0x9bu);  // the one-character CSI of C1
  EXPECT_EQ(found("\xe2\x80\xae"
                  "drow"),
            0x202eu);                         // right-to-left override
  EXPECT_EQ(found("\xe2\x81\xa6"), 0x2066u);  // isolate
  EXPECT_EQ(found("\xe2\x80\xa8"), 0x2028u);  // line separator
}

TEST(Text, IsShownOnOneLineAndCutBetweenCharacters) {
  EXPECT_EQ(shown("a\x1b[2J\n\xff"), "a?[2J??");
  EXPECT_EQ(shown("\xc2\x9b"
                  "x\xe2\x80\xae"),
            "?x?");
  EXPECT_EQ(shown("m\xc2\xb3m\xc2\xb3", 4), "m\xc2\xb3m...");
}

TEST(Text, LinesStayAndNothingIsObeyed) {
  EXPECT_EQ(plain_lines("a\n\tb\r\x1b]0;t\x07\xc2\x9b\xff\n"), "a\n\tb??]0;t???\n");
}

TEST(Text, JsonMeansTheSameAndNothingIsObeyed) {
  EXPECT_EQ(plain_json("{\n \"a\": \"\x7f\xc2\x9b\xe2\x80\xae m\xc2\xb3\"\n}"),
            "{\n \"a\": \"\\u007f\\u009b\\u202e m\xc2\xb3\"\n}");
  EXPECT_EQ(plain_json("\"\xf0\x9f\xbf\xbe\""), "\"\\ud83f\\udffe\"");  // U+1FFFE, no character
}

TEST(Text, AnErrorIsOneLineWhateverIsInIt) {
  const InputError error({"a\x1b[2J\nb", 3, 1}, "wrong\r\n\x1b[31m \xc2\x9b", "right\x07");
  EXPECT_EQ(std::string(error.what()), "a?[2J b:3:1: wrong  ?[31m ?; right?");
  const InputError longest({"f", 1, 1}, std::string(100'000, 'x'), std::string(100'000, 'y'));
  EXPECT_LT(std::string(longest.what()).size(), 2100u);
}

}  // namespace
}  // namespace wetrun
