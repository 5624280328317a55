// FNV-1a, 64 bit: test vectors published with the algorithm (Fowler, Noll & Vo; also IETF draft-eastlake-fnv, appendix
// of test values; from memory).
#include <gtest/gtest.h>

#include <array>
#include <set>

#include "engine/core/hash.h"

namespace wetrun {
namespace {

std::uint64_t of_text(std::string_view text) {
  Hash hash;
  hash.add(text);
  return hash.value();
}

TEST(Hash, MatchesThePublishedVectors) {
  EXPECT_EQ(of_text(""), 0xcbf29ce484222325ull);
  EXPECT_EQ(of_text("a"), 0xaf63dc4c8601ec8cull);
  EXPECT_EQ(of_text("foobar"), 0x85944171f73967e8ull);
}

TEST(Hash, EveryBitOfANumberCounts) {
  // Whatever single bit of either of two words differs, the hash differs.
  std::set<std::uint64_t> seen;
  for (int word = 0; word < 2; ++word)
    for (int bit = 0; bit < 64; ++bit) {
      Hash hash;
      hash.add(std::uint64_t{0x6867666564636261} ^ (word == 0 ? std::uint64_t{1} << bit : 0));
      hash.add(std::uint64_t{42} ^ (word == 1 ? std::uint64_t{1} << bit : 0));
      seen.insert(hash.value());
    }
  EXPECT_EQ(seen.size(), 128u);
}

TEST(Hash, EqualNumbersHaveEqualHashes) {
  Hash plus, minus, tiny;
  plus.add(0.0);
  minus.add(-0.0);
  tiny.add(5e-324);
  EXPECT_EQ(plus.value(), minus.value());
  EXPECT_NE(plus.value(), tiny.value());
}

TEST(Hash, OrderMatters) {
  Hash one, two, single;
  one.add(std::array<double, 2>{1, 2});
  two.add(std::array<double, 2>{2, 1});
  single.add(1.0);
  single.add(2.0);
  EXPECT_NE(one.value(), two.value());
  EXPECT_EQ(one.value(), single.value());
}

}  // namespace
}  // namespace wetrun
