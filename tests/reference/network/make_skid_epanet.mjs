// Solves skid_epanet.inp with the general-purpose hydraulic library epanet-js 0.9.0 (engine 2.3.5) and prints the result
// that is stored as skid_epanet.csv. Needs Node 20 and `npm install epanet-js@0.9.0` in some folder:
//   node make_skid_epanet.mjs > skid_epanet.csv
import { readFileSync } from 'node:fs';
import { Project, Workspace, InitHydOption, NodeProperty, LinkProperty, CountType } from 'epanet-js';

const folder = new URL('.', import.meta.url);
const workspace = new Workspace();
await workspace.loadModule();
const project = new Project(workspace);
workspace.writeFile('skid.inp', readFileSync(new URL('skid_epanet.inp', folder)));
project.open('skid.inp', 'skid.rpt', 'skid.bin');
project.openH();
project.initH(InitHydOption.NoSave);
project.runH();
console.log('kind,name,value,unit');
for (let i = 1; i <= project.getCount(CountType.NodeCount); ++i)
  console.log(`node,${project.getNodeId(i)},${project.getNodeValue(i, NodeProperty.Head).toPrecision(8)},m head`);
for (let i = 1; i <= project.getCount(CountType.LinkCount); ++i)
  console.log(`link,${project.getLinkId(i)},${project.getLinkValue(i, LinkProperty.Flow).toPrecision(8)},L/s`);
