-- Uses 1 mL of a jar again and again, each time as a form of its own.
math.randomseed(os.time())

request = function()
  local key = string.gsub("xxxxxxxx-xxxx-4xxx-8xxx-xxxxxxxxxxxx", "x", function()
    return string.format("%x", math.random(0, 15))
  end)
  return wrk.format("POST", nil, nil, "amount=1+mL&csrfmiddlewaretoken=" .. os.getenv("CSRF") .. "&key=" .. key)
end
