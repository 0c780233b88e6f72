package app.sidelong.screens

import sidelong.core.*

// How the core's words read, beside the words themselves.

fun Ambient.text(language: Language): String = ambientText(this, language)
fun Catch.text(language: Language): String = catchText(this, language)
fun CopyGiven.text(language: Language): String = copyGivenText(this, language)
fun Corner.text(language: Language): String = cornerText(this, language)
fun Distance.text(language: Language): String = distanceText(this, language)
fun FeelLevel.text(language: Language): String = feelLevelText(this, language)
fun FeelMethod.text(language: Language): String = feelMethodText(this, language)
fun Finish.text(language: Language): String = finishText(this, language)
fun BodyForm.text(language: Language): String = formText(this, language)
fun Holds.text(language: Language): String = holdsText(this, language)
fun Light.text(language: Language): String = lightText(this, language)
fun MarkKind.text(language: Language): String = markKindText(this, language)
fun NoReading.text(language: Language): String = noReadingText(this, language)
fun Outcome.text(language: Language): String = outcomeText(this, language)
fun OwnerAnswer.text(language: Language): String = ownerAnswerText(this, language)
fun Party.text(language: Language): String = partyText(this, language)
fun Reaction.text(language: Language): String = reactionText(this, language)
fun Scope.text(language: Language): String = scopeText(this, language)
fun Shows.text(language: Language): String = showsText(this, language)
fun SpotKind.text(language: Language): String = spotKindText(this, language)
fun Stage.text(language: Language): String = stageText(this, language)
fun Step.text(language: Language): String = stepText(this, language)
fun Surface.text(language: Language): String = surfaceText(this, language)
fun Framing.text(language: Language): String = viewText(this, language)
fun WayOfLooking.text(language: Language): String = wayOfLookingText(this, language)
fun WholeSide.text(language: Language): String = wholeSideText(this, language)
fun Why.text(language: Language): String = whyText(this, language)
