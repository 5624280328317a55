// The drawing of any skid: every thing that can be worked has its place, nothing lies on anything else, pipes end where
// they should.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/window/scene_support.h"
#include "trainer/window/view/scene.h"

namespace wetrun::test {
namespace {

class SceneOf : public testing::TestWithParam<NamedSkid> {
protected:
  std::shared_ptr<const Plant> plant_ = plant_of(GetParam());
  Scene scene_ = make_scene(*plant_);
};

TEST_P(SceneOf, ShowsEveryThingThatCanBeWorked) {
  for (const Plant::Slot& slot : plant_->units()) {
    if (slot.unit->info().controls.empty()) continue;
    const Item* item = scene_.find(slot.name);
    ASSERT_NE(item, nullptr) << slot.name;
    EXPECT_FALSE(item->tag.empty()) << slot.name;
    EXPECT_GE(std::min(item->box.width(), item->box.height()), 34) << slot.name;
  }
}

TEST_P(SceneOf, PutsNothingOnAnythingElse) {
  const auto& items = scene_.items;
  for (std::size_t i = 0; i < items.size(); ++i) {
    EXPECT_TRUE(scene_.extent.holds(items[i].box)) << items[i].unit;
    EXPECT_TRUE(scene_.extent.holds(items[i].label_box)) << items[i].unit;
    EXPECT_GT(items[i].label_box.width(), 30) << items[i].unit;
    for (std::size_t j = 0; j < items.size(); ++j) {
      if (i == j) continue;
      EXPECT_NE(items[i].unit, items[j].unit);
      EXPECT_FALSE(items[i].box.overlaps(items[j].box)) << items[i].unit << " and " << items[j].unit;
      EXPECT_FALSE(items[i].label_box.overlaps(items[j].box))
          << "label of " << items[i].unit << " on " << items[j].unit;
      EXPECT_FALSE(items[i].label_box.overlaps(items[j].label_box))
          << "labels of " << items[i].unit << ", " << items[j].unit;
    }
  }
}

bool lies_on(const Pipe& pipe, Point p) {
  for (std::size_t i = 0; i + 1 < pipe.route.size(); ++i) {
    const Point a = pipe.route[i], b = pipe.route[i + 1];
    const Box run{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
    if (run.grown(2).holds(p)) return true;
  }
  return false;
}

TEST_P(SceneOf, EndsEveryPipeAtItsThingOrOnAnotherPipe) {
  for (const Pipe& pipe : scene_.pipes) {
    ASSERT_GE(pipe.route.size(), 2U);
    for (std::size_t i = 0; i + 1 < pipe.route.size(); ++i)
      EXPECT_TRUE(pipe.route[i].x == pipe.route[i + 1].x || pipe.route[i].y == pipe.route[i + 1].y)
          << pipe.from << " to " << pipe.to;
    for (const bool end : {false, true}) {
      const std::string& name = end ? pipe.to : pipe.from;
      const Point p = end ? pipe.route.back() : pipe.route.front();
      bool touches = p.y >= scene_.floor - 1;  // over the drain channel
      if (const Item* item = scene_.find(name)) touches = touches || item->box.grown(3).holds(p);
      for (const Pipe& other : scene_.pipes) touches = touches || (&other != &pipe && lies_on(other, p));
      for (const Item& item : scene_.items) touches = touches || item.box.grown(3).holds(p);
      if (pipe.from == pipe.to) {  // a header or collector: others end on it, its own ends are free
        touches = touches || pipe.route.front().x == pipe.route[1].x;
      }
      EXPECT_TRUE(touches) << pipe.from << " to " << pipe.to << " at " << name;
    }
  }
}

TEST_P(SceneOf, FindsWhatIsPointedAt) {
  for (const Item& item : scene_.items) {
    const Item* found = scene_.at(item.box.middle());
    ASSERT_NE(found, nullptr) << item.unit;
    EXPECT_EQ(found->unit, item.unit);
    EXPECT_EQ(scene_.find(item.unit), &item);
  }
  EXPECT_EQ(scene_.at({-100, -100}), nullptr);
  EXPECT_EQ(scene_.find("no such unit"), nullptr);
}

TEST_P(SceneOf, IsTheSameEachTime) {
  const Scene again = make_scene(*plant_);
  ASSERT_EQ(again.items.size(), scene_.items.size());
  for (std::size_t i = 0; i < again.items.size(); ++i) {
    EXPECT_EQ(again.items[i].unit, scene_.items[i].unit);
    EXPECT_EQ(again.items[i].box.x0, scene_.items[i].box.x0);
    EXPECT_EQ(again.items[i].label_box.y0, scene_.items[i].label_box.y0);
  }
}

INSTANTIATE_TEST_SUITE_P(Skids, SceneOf, testing::ValuesIn(skids()), [](const testing::TestParamInfo<NamedSkid>& skid) {
  std::string name = skid.param.name;
  for (char& letter : name)
    if (!std::isalnum(static_cast<unsigned char>(letter))) letter = '_';
  return name;
});

TEST(Scene, KnowsWhereInstrumentsAreFitted) {
  const Scene scene = make_scene(*plant_of(skids().front()));
  const auto x = [&](const char* unit) { return scene.find(unit)->box.middle().x; };
  EXPECT_LT(x("flow_valve"), x("filter_in_gauge"));
  EXPECT_LT(x("filter_in_gauge"), x("cartridge"));
  EXPECT_LT(x("cartridge"), x("filter_out_gauge"));
  EXPECT_LT(x("filter_out_gauge"), x("flow_meter"));
  EXPECT_LT(x("flow_meter"), x("electrode"));
  EXPECT_TRUE(scene.find("discharge_gauge")->upright);
  EXPECT_EQ(scene.find("discharge_gauge")->line, scene.find("pump")->box.x0 + 44);  // on the riser over the pump
  EXPECT_EQ(scene.find("electrode")->kind, ItemKind::electrode);
  EXPECT_EQ(scene.find("tank_sample")->kind, ItemKind::sample_point);
  EXPECT_EQ(scene.find("flow_valve")->kind, ItemKind::wheel_valve);
  EXPECT_EQ(scene.find("suction_valve")->kind, ItemKind::lever_valve);
}

TEST(Scene, CountsVesselsAndElements) {
  const Scene scene = make_scene(*plant_of(skids().front()));
  EXPECT_EQ(scene.find("array_1")->rows, 4);
  EXPECT_EQ(scene.find("array_2")->rows, 2);
  EXPECT_EQ(scene.find("array_1")->columns, 4);
}

TEST(Scene, TagsByKindAndOrder) {
  const Scene scene = make_scene(*plant_of(skids().front()));
  EXPECT_EQ(scene.find("fill_valve")->tag, "HV-101");
  EXPECT_EQ(scene.find("drain_valve")->tag, "HV-102");
  EXPECT_EQ(scene.find("discharge_gauge")->tag, "PI-101");
  EXPECT_EQ(scene.find("return_thermometer")->tag, "TI-101");
  EXPECT_EQ(scene.find("pump")->label, "pump");
  EXPECT_EQ(scene.find("array_1_feed_valve")->label, "array 1 feed valve");
}

}  // namespace
}  // namespace wetrun::test
