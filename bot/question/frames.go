package question

// frame reads a message as one kind of question; it returns every way to fill it.
type frame func(s *sense) []reading

// frames in no particular order: costs decide. A function, for a choice is read
// like a message of its own.
func frames() []frame {
	return []frame{
		frameAmount, frameCard, frameMethod, frameSteps, frameHeated, frameKeeps, frameKeepsThere, frameKeepsMost, frameWhere, frameMakes, frameMakeable, frameMoulds, frameBatches,
		frameThing, frameEnough, frameSwap, frameChefs, frameConvert, frameDensity, frameAllergens, frameMenuFor, frameContent, frameCost, frameUses, frameUsable, frameParts,
		frameTalk, frameFollow, frameChoice, frameNamed, framePan, framePanSaid, framePanGoal, frameLeaves, frameBrix, frameRescue, frameNoRecipe, frameReady, frameUseBy, frameLatest, frameRefused, frameUnbuilt,
		frameCraftFollow, frameReduceTo, frameEvaporated, framePanFit, frameAlcohol, frameNow, frameAfter,
		frameBoils, frameStage, frameSyrup, frameBrixOf, frameBrixAt, frameCrystal, frameMixBrix,
		frameBloom, frameSoak, frameGelCompare, frameAgent, frameDose, frameMelts, frameUnmould, frameWeaken,
		frameTemper, frameDrift, frameSeed, frameGanache, frameSiphon, frameBrine, frameNitrite,
		frameWork, frameSafety, frameGuest, frameLimit, frameHeat, frameKilled, frameShare, frameBoth, frameCheck, frameBatchesOf, frameFromBatch, frameBook,
		frameStood, frameAged, frameClockAgain, frameStillToGo, frameHoldsAll, frameMoreOf, frameInstead, frameStepOf, framePanShows, frameLeftBehind,
		frameTimeLeft, frameSpareToo, frameStepMass, frameVerbTo, frameOutLine,
	}
}
