/** Run once before the journeys, which run in processes of their own. */
import { makeSample } from "./sample.ts";

await makeSample();
