// The log of what is where: what counts as cut off, what as an overlap.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "trainer/window/panel/boxes.h"

namespace wetrun::ui {
namespace {

constexpr Box screen{0, 0, 1280, 800};

Boxes with(const std::vector<LayoutBox>& rows) {
  Boxes boxes;
  boxes.begin_frame(screen);
  for (const LayoutBox& row : rows) {
    if (!row.layer.empty()) boxes.push_layer(row.layer);
    boxes.add(row.kind, row.name, row.box, row.within, row.scrolled_out);
    if (!row.layer.empty()) boxes.pop_layer();
  }
  return boxes;
}

LayoutBox row(BoxKind kind, const std::string& name, Box box, Box within = screen, const std::string& layer = "",
              bool scrolled_out = false) {
  LayoutBox one;
  one.name = name;
  one.kind = kind;
  one.box = box;
  one.within = within;
  one.layer = layer;
  one.scrolled_out = scrolled_out;
  return one;
}

TEST(Boxes, FindsNothingWrongWithATidyScreen) {
  const Boxes boxes =
      with({row(BoxKind::region, "left", {0, 0, 640, 800}), row(BoxKind::region, "right", {640, 0, 1280, 800}),
            row(BoxKind::button, "left/go", {20, 20, 90, 50}), row(BoxKind::text, "left/word", {20, 60, 90, 80})});
  EXPECT_TRUE(boxes.problems().empty());
  ASSERT_NE(boxes.find("left/go"), nullptr);
  EXPECT_EQ(boxes.find("left/go")->box.x1, 90);
  EXPECT_EQ(boxes.find("left/stop"), nullptr);
}

TEST(Boxes, NamesWhatIsOffTheScreen) {
  const auto problems = with({row(BoxKind::button, "go", {1250, 20, 1300, 50})}).problems();
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0], "button go (1250,20 to 1300,50) is not all on the screen (0,0 to 1280,800)");
}

TEST(Boxes, NamesWhatIsCutOffByItsPanel) {
  const auto problems = with({row(BoxKind::text, "sheet/aim", {20, 20, 250, 40}, {0, 0, 200, 100})}).problems();
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0], "text sheet/aim (20,20 to 250,40) is cut off: its place is 0,0 to 200,100");
}

TEST(Boxes, ForgivesTheWidthOfASoftEdge) {
  EXPECT_TRUE(with({row(BoxKind::text, "a", {20, 20, 201, 40}, {0, 0, 200, 100})}).problems().empty());
  EXPECT_FALSE(with({row(BoxKind::text, "a", {20, 20, 203, 40}, {0, 0, 200, 100})}).problems().empty());
}

TEST(Boxes, NamesTwoThingsInOnePlace) {
  const auto problems = with({row(BoxKind::item, "skid/pump", {100, 100, 200, 200}),
                              row(BoxKind::text, "skid/tank/tag", {190, 150, 260, 170})})
                            .problems();
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0], "item skid/pump (100,100 to 200,200) overlaps text skid/tank/tag (190,150 to 260,170)");
}

TEST(Boxes, ComparesRegionsWithRegionsOnly) {
  EXPECT_TRUE(with({row(BoxKind::region, "panel", {0, 0, 640, 800}), row(BoxKind::button, "other", {20, 20, 90, 50})})
                  .problems()
                  .empty());
  EXPECT_EQ(with({row(BoxKind::region, "a", {0, 0, 640, 800}), row(BoxKind::region, "b", {600, 0, 1280, 800})})
                .problems()
                .size(),
            1U);
}

TEST(Boxes, APartMayLieInItsWholeButNotStickOut) {
  const LayoutBox pump = row(BoxKind::item, "skid/pump", {100, 100, 200, 200});
  EXPECT_TRUE(with({pump, row(BoxKind::text, "skid/pump/tag", {120, 120, 180, 140})}).problems().empty());
  EXPECT_TRUE(with({row(BoxKind::text, "skid/pump/tag", {120, 120, 180, 140}), pump}).problems().empty());
  EXPECT_EQ(with({pump, row(BoxKind::text, "skid/pump/tag", {150, 120, 240, 140})}).problems().size(), 1U);
  EXPECT_EQ(with({pump, row(BoxKind::text, "skid/pump_2", {120, 120, 180, 140})}).problems().size(), 1U);
}

TEST(Boxes, PopUpsLieOverTheScreenButNotOverEachOthersButtons) {
  const LayoutBox below = row(BoxKind::button, "go", {100, 100, 200, 130});
  EXPECT_TRUE(with({below, row(BoxKind::button, "yes", {150, 100, 250, 130}, screen, "ask")}).problems().empty());
  EXPECT_EQ(with({row(BoxKind::button, "yes", {150, 100, 250, 130}, screen, "ask"),
                  row(BoxKind::button, "no", {240, 100, 350, 130}, screen, "ask")})
                .problems()
                .size(),
            1U);
}

TEST(Boxes, WhatIsScrolledOutIsNotJudged) {
  EXPECT_TRUE(with({row(BoxKind::text, "late", {20, 780, 250, 900}, {0, 0, 300, 700}, "", true),
                    row(BoxKind::text, "bar", {20, 780, 250, 799})})
                  .problems()
                  .empty());
}

TEST(Boxes, WordsWithoutANameAreJudgedForBeingCutOffOnly) {
  const LayoutBox item = row(BoxKind::item, "row", {0, 0, 100, 100});
  EXPECT_TRUE(with({item, row(BoxKind::text, "panel/~10,20", {10, 20, 140, 40})}).problems().empty());
  EXPECT_EQ(with({row(BoxKind::text, "panel/~10,20", {10, 20, 140, 40}, {0, 0, 100, 100})}).problems().size(), 1U);
}

TEST(Boxes, ANewFrameForgetsTheLast) {
  Boxes boxes = with({row(BoxKind::button, "go", {1250, 20, 1300, 50})});
  boxes.push_layer("left open");
  boxes.begin_frame(screen);
  EXPECT_TRUE(boxes.all().empty());
  EXPECT_EQ(boxes.layer(), "");
}

TEST(Boxes, WritesJsonThatDriversRead) {
  const auto json =
      nlohmann::json::parse(with({row(BoxKind::button, "ask/\"yes\"", {150, 100, 250.5F, 130}, screen, "ask")}).json());
  ASSERT_EQ(json.size(), 1U);
  EXPECT_EQ(json[0]["name"], "ask/\"yes\"");
  EXPECT_EQ(json[0]["kind"], "button");
  EXPECT_EQ(json[0]["layer"], "ask");
  EXPECT_EQ(json[0]["box"], nlohmann::json({150, 100, 250.5, 130}));
  EXPECT_EQ(json[0]["scrolled_out"], false);
}

}  // namespace
}  // namespace wetrun::ui
