// An address that once led to an entry on this page leads to it in the story.
if (location.hash.length > 1 && !document.getElementById(decodeURIComponent(location.hash.slice(1))))
  location.replace("story.html" + location.hash)
